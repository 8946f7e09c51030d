"""Poisson regression with an exposure, and counts that spread more than Poisson counts."""

from __future__ import annotations

import numpy as np
import pytest

from pipeline.statistics.control_charts import u_chart
from pipeline.statistics.dispersion import chance_of_clustering
from pipeline.statistics.poisson import deviance_of, fit_poisson

# McCullagh and Nelder 1989, table 6.2 (the ships of the data package MASS): months of service and damage incidents, by
# type A to E; within a type by year of construction 60, 65, 70, 75, and within that by period 60, 75.
SERVICE = [
    127, 63, 1095, 1095, 1512, 3353, 0, 2244,
    44882, 17176, 28609, 20370, 7064, 13099, 0, 7117,
    1179, 552, 781, 676, 783, 1948, 0, 274,
    251, 105, 288, 192, 349, 1208, 0, 2051,
    45, 0, 789, 437, 1157, 2161, 0, 542,
]  # fmt: skip
INCIDENTS = [
    0, 0, 3, 4, 6, 18, 0, 11, 39, 29, 58, 53, 12, 44, 0, 18, 1, 1, 0, 1, 6, 2, 0, 1, 0, 0, 0, 0, 2, 11, 0, 4, 0, 0, 7,
    7, 5, 12, 0, 1,
]  # fmt: skip

# Bissell 1972: faults in 32 rolls of fabric, and their lengths.
LENGTHS = np.array([551, 651, 832, 375, 715, 868, 271, 630, 491, 372, 645, 441, 895, 458, 642, 492, 543, 842, 905, 542,
                    522, 122, 657, 170, 738, 371, 735, 749, 495, 716, 952, 417], float)  # fmt: skip
FAULTS = np.array([6, 4, 17, 9, 14, 8, 5, 7, 7, 7, 6, 8, 28, 4, 10, 4, 8, 9, 23, 9, 6, 1, 9, 4, 9, 14, 17, 10, 7, 3, 9,
                   2], float)  # fmt: skip


def test_damage_of_ships() -> None:
    """34 rows with service: coefficients, their first standard error, deviance 38.695 on 25, dispersion 1.691."""
    rows = [
        [1.0, *(ship == k for k in range(1, 5)), *(year == k for k in range(1, 4)), period]
        for ship in range(5) for year in range(4) for period in range(2)
    ]  # fmt: skip
    service, counts = np.array(SERVICE, float), np.array(INCIDENTS, float)
    used = service > 0
    x = np.array(rows, float)[used]
    assert used.sum() == 34
    fit = fit_poisson(x, counts[used], service[used])
    assert fit.coefficients == pytest.approx(
        [-6.40590, -0.54334, -0.68740, -0.07596, 0.32558, 0.69714, 0.81843, 0.45343, 0.38447], abs=5.1e-6
    )
    assert np.sqrt(fit.covariance[0, 0]) == pytest.approx(0.21744, abs=5.1e-6)
    assert (fit.deviance, fit.freedom) == (pytest.approx(38.695, abs=5.1e-4), 25)
    assert fit.dispersion == pytest.approx(1.691, abs=5.1e-4)
    null = service[used] * counts.sum() / service.sum()
    assert deviance_of(counts[used], null) == pytest.approx(146.328, abs=5.1e-4)


def test_faults_in_rolls_of_fabric_by_length() -> None:
    """log(mean) = .9717506 (.2124693) + .0019297 (.0003063) x length; dispersion 2.122. The printed errors come
    from the weights of the round before the last, which differ in the sixth figure."""
    fit = fit_poisson(np.column_stack([np.ones(32), LENGTHS]), FAULTS, np.ones(32))
    assert fit.coefficients == pytest.approx([0.9717506, 0.0019297], abs=5.1e-8)
    assert np.sqrt(np.diag(fit.covariance)) == pytest.approx([0.2124693, 0.0003063], rel=2e-5)
    assert fit.dispersion == pytest.approx(2.122, abs=5.1e-4)


def test_those_faults_come_in_clusters_and_rolls_13_and_26_lie_beyond_their_limits() -> None:
    """Overdispersion is real (dispersion 2.122 on 30 degrees, p under .001); rolls 13 and 26 computed."""
    assert chance_of_clustering(FAULTS, LENGTHS, np.zeros(32, np.int64), seed=1)[0] <= 0.001
    assert (np.flatnonzero(u_chart(FAULTS, LENGTHS).above) + 1).tolist() == [13, 26]
