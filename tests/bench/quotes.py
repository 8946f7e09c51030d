"""How well the advice on prices does on made quotes, by their number: `python tests/bench/quotes.py [HISTORIES]`.

Writes its result beside this file. Regret: the share of what the truly best price would leave, among the prices that
like houses were quoted at, that the advised price does not: the single best one where it is named, else the middle of
the range; where the quotes settle nothing (`ends`), the prices are left as they are.
"""

from __future__ import annotations

import json
import sys
from datetime import date
from pathlib import Path

import numpy as np

ROOT = Path(__file__).resolve().parents[2]
sys.path[:0] = [str(ROOT), str(ROOT / "tests")]

from support.made_quotes import COST_USD_PER_FT, make_quotes  # noqa: E402

from pipeline import __version__  # noqa: E402
from pipeline.decisions.win_and_lose import good_prices  # noqa: E402

SIZES = (50, 200, 1_000)
RESULT = Path(__file__).with_suffix(".json")


def history(count: int, seed: int) -> tuple[float, float, bool, bool, bool] | None:
    """Regret as advised, regret of leaving prices alone, whether the range and the loss hold, whether at an end."""
    quotes = make_quotes(count, seed)
    responses, prices, _ = good_prices(quotes.frame, {"all": COST_USD_PER_FT}, season=2025, seed=seed)
    if prices.is_empty():
        return None
    row = prices.row(0, named=True)
    best = quotes.best(responses["factor"].to_numpy())
    at_an_end = row["best_end"] is not None
    price = row["best_usd_per_ft"] or (row["good_low"] + row["good_high"]) / 2
    factor = 1.0 if at_an_end else price / row["quoted_usd_per_ft"]
    held = row["good_low"] - 1e-9 <= best * row["quoted_usd_per_ft"] <= row["good_high"] + 1e-9
    loss = row["lost_low"] is None or row["lost_low"] <= quotes.chance(1.0) - quotes.chance(1.05) <= row["lost_high"]
    most = quotes.left(best)
    return 1 - quotes.left(factor) / most, 1 - quotes.left(1.0) / most, held, loss, at_an_end


def main(histories: int) -> None:
    """Run and write."""
    out: dict[str, object] = {"date": date.today().isoformat(), "version": __version__, "histories": histories}
    for count in SIZES:
        found = [result for seed in range(histories) if (result := history(count, 10_000 * count + seed))]
        regret, alone, held, loss, ends = (np.array(values) for values in zip(*found, strict=True))
        out[f"{count} quotes"] = {
            "answered": len(found),
            "regret_mean": round(float(regret.mean()), 4),
            "regret_90th_percentile": round(float(np.quantile(regret, 0.9)), 4),
            "regret_of_prices_left_alone": round(float(alone.mean()), 4),
            "settled": int((~ends).sum()),
            "range_of_80_percent_holds_the_best": round(float(held[~ends].mean()), 4),
            "limits_of_95_percent_hold_the_loss_of_a_rise": round(float(loss.mean()), 4),
        }
        print(json.dumps({count: out[f"{count} quotes"]}), flush=True)
    RESULT.write_text(json.dumps(out, indent=2) + "\n", encoding="utf-8")


if __name__ == "__main__":
    main(int(sys.argv[1]) if len(sys.argv) > 1 else 1_000)
