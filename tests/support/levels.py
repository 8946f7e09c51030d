"""The demo cut down to fewer records: what firms that keep less would hand in."""

from __future__ import annotations

from pathlib import Path

import polars as pl
from support.demo import checked

from pipeline.vocabulary import tables

KEPT = {
    1: ("jobs", "workers", "overheads", "settings"),
    2: ("jobs", "hours", "workers", "pay", "trips", "equipment", "overheads", "settings"),
    3: ("jobs", "hours", "workers", "pay", "trips", "equipment", "overheads", "settings", "runs", "run_bulbs", "items",
        "materials", "stock", "offers", "purchases"),
}  # fmt: skip
"""Tables handed in whole at each level; level 1 adds hours by worker and day, and one total of what was bought."""


def _write(frame: pl.DataFrame, name: str, folder: Path) -> None:
    fields = [field for field in tables()[name].fields if field in frame.columns]
    frame.select(pl.col(fields).cast(pl.String)).write_csv(folder / f"{name}.csv")


def cut_to_level(season: int, level: int, folder: Path) -> None:
    """Write a season's accepted records as CSV, as far as a level keeps them."""
    records = dict(checked(season).records)
    feet = records["runs"].group_by("branch", "job_no").agg(run_feet=pl.col("feet").sum())
    jobs = records["jobs"].join(feet, on=["branch", "job_no"], how="left", maintain_order="left")
    records["jobs"] = jobs.with_columns(feet=pl.coalesce("run_feet", "feet"))
    for name in KEPT[level]:
        _write(records[name], name, folder)
    if level > 1:
        return
    daily = records["hours"].group_by("work_date", "branch", "crew", "worker_no", maintain_order=True)
    _write(daily.agg(pl.col("hours").sum()).with_columns(task=pl.lit("install")), "hours", folder)
    spent = records["purchases"].select((pl.col("paid") + pl.col("freight").fill_null(0)).sum()).item()
    total = pl.DataFrame(
        {
            "item_no": ["ALL GOODS"],
            "bought_date": ["2025-09-01"],
            "packs": ["1"],
            "pack_size": ["1"],
            "paid": [str(spent)],
        }
    )
    _write(total, "purchases", folder)
