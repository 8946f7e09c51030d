"""Least squares against the certified values of NIST's Statistical Reference Datasets, linear regression.

The data sets are short and stand here in full; a wrong digit in them would not give the certified values.
"""

from __future__ import annotations

import numpy as np
import pytest

from pipeline.statistics.least_squares import least_squares

# NIST StRD, Norris (J. Norris, NIST, calibration of ozone monitors): y, x.
NORRIS = """
    0.1 0.2  338.8 337.4  118.1 118.2  888.0 884.6  9.2 10.1  228.1 226.5  668.5 666.3  998.5 996.3  449.1 448.6
    778.9 777.0  559.2 558.2  0.3 0.4  0.1 0.6  778.1 775.5  668.8 666.9  339.3 338.0  448.9 447.5  10.8 11.6
    557.7 556.0  228.3 228.1  998.0 995.8  888.8 887.6  119.6 120.2  0.3 0.3  0.6 0.3  557.6 556.8  339.3 339.1
    888.0 887.2  998.5 999.0  778.9 779.0  10.2 11.1  117.6 118.3  228.9 229.2  668.4 669.1  449.2 448.9  0.2 0.5
"""
# NIST StRD, Longley (J. W. Longley, JASA 62, 1967): employed, deflator, GNP, unemployed, armed forces, people, year.
LONGLEY = """
    60323 83.0 234289 2356 1590 107608 1947
    61122 88.5 259426 2325 1456 108632 1948
    60171 88.2 258054 3682 1616 109773 1949
    61187 89.5 284599 3351 1650 110929 1950
    63221 96.2 328975 2099 3099 112075 1951
    63639 98.1 346999 1932 3594 113270 1952
    64989 99.0 365385 1870 3547 115094 1953
    63761 100.0 363112 3578 3350 116219 1954
    66019 101.2 397469 2904 3048 117388 1955
    67857 104.6 419180 2822 2857 118734 1956
    68169 108.4 442769 2936 2798 120445 1957
    66513 110.8 444546 4681 2637 121950 1958
    68655 112.6 482704 3813 2552 123366 1959
    69564 114.2 502601 3931 2514 125368 1960
    69331 115.7 518173 4806 2572 127852 1961
    70551 116.9 554894 4007 2827 130081 1962
"""


def table(text: str, columns: int) -> np.ndarray:
    return np.array(text.split(), dtype=float).reshape(-1, columns)


def test_norris() -> None:
    y, x = table(NORRIS, 2).T
    fit = least_squares(np.column_stack([np.ones_like(x), x]), y)
    assert fit.coefficients == pytest.approx([-0.262323073774029, 1.00211681802045], rel=1e-11)
    assert fit.standard_errors == pytest.approx([0.232818234301152, 0.429796848199937e-03], rel=1e-11)
    assert fit.residual_sd == pytest.approx(0.884796396144373, rel=1e-11)


def test_longley_whose_columns_nearly_depend_on_each_other() -> None:
    data = table(LONGLEY, 7)
    fit = least_squares(np.column_stack([np.ones(16), data[:, 1:]]), data[:, 0])
    certified = [
        -3482258.63459582, 15.0618722713733, -0.0358191792925910, -2.02022980381683, -1.03322686717359,
        -0.0511041056535807, 1829.15146461355,
    ]  # fmt: skip
    errors = [
        890420.383607373, 84.9149257747669, 0.0334910077722432, 0.488399681651699, 0.214274163161675,
        0.226073200069370, 455.478499142212,
    ]  # fmt: skip
    assert fit.coefficients == pytest.approx(certified, rel=1e-9)
    assert fit.standard_errors == pytest.approx(errors, rel=1e-9)
    assert fit.residual_sd == pytest.approx(304.854073561965, rel=1e-11)


def test_a_weight_of_three_is_the_row_three_times() -> None:
    """Norris with every third row weighing three times, against that row written three times."""
    y, x = table(NORRIS, 2).T
    times = np.where(np.arange(36) % 3 == 0, 3, 1)
    design = np.column_stack([np.ones_like(x), x])
    weighted = least_squares(design, y, times.astype(float))
    repeated = least_squares(np.repeat(design, times, axis=0), np.repeat(y, times))
    assert weighted.coefficients == pytest.approx(repeated.coefficients, rel=1e-11)
