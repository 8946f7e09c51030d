"""The store: open and lock it, replace a season in one transaction, build sql/ in order, read."""

from pipeline.warehouse.files import ModelError
from pipeline.warehouse.load import Run, load_season, make_tables, record_outcome
from pipeline.warehouse.models import build_models, drop_passing, run_checks
from pipeline.warehouse.store import MEMORY, Store, open_store, transaction
from pipeline.warehouse.wage_bases import require_wage_bases

__all__ = [
    "MEMORY",
    "ModelError",
    "Run",
    "Store",
    "build_models",
    "drop_passing",
    "load_season",
    "make_tables",
    "open_store",
    "record_outcome",
    "require_wage_bases",
    "run_checks",
    "transaction",
]
