"""How people write values, and what each is read as. `-` marks what cannot be read for certain: it is rejected."""

from __future__ import annotations

from support.intake import assert_read


def test_a_length_in_feet() -> None:
    # 6" is half a foot; 4" is a third of one, kept to twelve decimals.
    assert_read(
        "runs",
        "feet",
        """
            | written    | value          |
            | 120        | 120            |
            | 42.5       | 42.5           |
            | 1,250      | 1250           |
            | 1250 ft    | 1250           |
            | 120ft.     | 120            |
            | 120'       | 120            |
            | 120' 6"    | 120.5          |
            | 120 ft 6 in | 120.5         |
            | 120'6"     | 120.5          |
            | 4"         | 0.333333333333 |
            | 120' 6 1/2" | 120.541666666667 |
            | 42 1/4 ft  | 42.25          |
            | 42½        | 42.5           |
            | 1/2        | 0.5            |
            | 42 5/4     | -              |
            | 42/7       | -              |
            | 12O ft     | -              |
            | ~120       | -              |
            | n/a        | -              |
            | see note   | -              |
            | 1,25       | -              |
            | 10' 14"    | -              |
            | 120 m      | -              |
            | 0          | -              |
            | 2000.5     | -              |
        """,
    )


def test_a_heading_in_inches_makes_bare_lengths_inches() -> None:
    assert_read(
        "runs",
        "feet [in]",
        """
            | written | value |
            | 510     | 42.5  |
            | 42'     | 42    |
        """,
    )


def test_a_heading_in_metres_leaves_bare_lengths_unread() -> None:
    assert_read(
        "runs",
        "feet [m]",
        """
            | written | value |
            | 42      | -     |
            | 42 ft   | 42    |
        """,
    )


def test_a_spacing_in_inches() -> None:
    assert_read(
        "runs",
        "spacing_in",
        """
            | written | value |
            | 12      | 12    |
            | 12"     | 12    |
            | 12 in   | 12    |
            | 1 ft    | 12    |
            | 1'      | 12    |
            | 1' 3"   | 15    |
            | 7.5     | 7.5   |
            | 7 1/2"  | 7.5   |
            | 7½ in   | 7.5   |
            | 12 cm   | -     |
            | 1.5     | -     |
        """,
    )


def test_hours() -> None:
    # 1 h 20 min is four thirds of an hour.
    assert_read(
        "hours",
        "hours",
        """
            | written    | value          |
            | 6.5        | 6.5            |
            | 6:30       | 6.5            |
            | 6:30:00    | 6.5            |
            | 6h30       | 6.5            |
            | 6 h 30 min | 6.5            |
            | 6 hrs      | 6              |
            | 390 min    | 6.5            |
            | 1h20       | 1.333333333333 |
            | 0:50       | 0.833333333333 |
            | 6 1/2      | 6.5            |
            | 6½ h       | 6.5            |
            | 31:05      | -              |
            | 6:75       | -              |
            | 6:5        | -              |
            | six        | -              |
            | -2         | -              |
            | 25         | -              |
        """,
    )


def test_a_heading_in_minutes_makes_bare_hours_minutes() -> None:
    assert_read(
        "hours",
        "hours [min]",
        """
            | written | value |
            | 390     | 6.5   |
            | 6:30    | 6.5   |
            | 6 h     | 6     |
        """,
    )


def test_money() -> None:
    assert_read(
        "jobs",
        "invoiced",
        """
            | written       | value   |
            | 1250          | 1250    |
            | $1,250.00     | 1250    |
            | 1,250.005     | 1250.005 |
            | 1250 USD      | 1250    |
            | 0             | 0       |
            | (125.00)      | -       |
            | 1.250,00      | -       |
            | about 900     | -       |
        """,
    )


def test_a_slope() -> None:
    assert_read(
        "jobs",
        "slope",
        """
            | written | value |
            | 6/12    | 6     |
            | 6:12    | 6     |
            | 6 in 12 | 6     |
            | 6       | 6     |
            | 7.5/12  | 7.5   |
            | 6/10    | -     |
            | steep   | -     |
            | 25/12   | -     |
            |         |       |
        """,
    )


def test_a_share() -> None:
    assert_read(
        "run_bulbs",
        "share",
        """
            | written | value |
            | 1       | 1     |
            | 100%    | 1     |
            | 100 %   | 1     |
            | 120 %   | -     |
            | half    | -     |
        """,
    )


def test_yes_and_no() -> None:
    assert_read(
        "service_calls",
        "chargeable",
        """
            | written | value |
            | yes     | yes   |
            | Y       | yes   |
            | TRUE    | yes   |
            | x       | yes   |
            | No      | no    |
            | FALSE   | no    |
            | 0       | no    |
            |         |       |
            | maybe   | -     |
        """,
    )


def test_whole_numbers() -> None:
    assert_read(
        "connections",
        "count",
        """
            | written | value |
            | 3       | 3     |
            | 3.0     | 3     |
            | 1,200   | 1200  |
            | 3 pcs   | 3     |
            | 2.5     | -     |
            | 5001    | -     |
            | three   | -     |
        """,
    )


def test_a_word_of_a_list_in_any_case_and_punctuation() -> None:
    assert_read(
        "connections",
        "kind",
        """
            | written      | value         |
            | plug         | plug          |
            | PLUGS        | plug          |
            | In-line tap  | inline_tap    |
            | taped socket | taped_socket  |
            | Male/Female  | plug          |
            | widget       | -             |
        """,
    )


def test_a_number_that_names_something() -> None:
    assert_read(
        "jobs",
        "job_no",
        """
            | written | value |
            | 1042.0  | 1042  |
            | 01043   | 1043  |
            | c207    | C207  |
            | W07     | W07   |
        """,
    )
