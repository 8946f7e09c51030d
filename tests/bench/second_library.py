"""What statsmodels fits to the same figures, kept in second_library.json for the tests to hold ours against.

statsmodels is in no lock of ours: it would bring a second library of frames with it. Install it beside the others for
this run (`uv pip install statsmodels` in a copy of the environment), then

    PYTHONPATH=.:tests python tests/bench/second_library.py

The mixed model: the last season of the demo, the crews of one branch, the tamed logarithms of hours per foot, REML with
an intercept a crew. The logistic regression: 300 made quotes of a seeded design, all of three columns and an intercept.
"""

from __future__ import annotations

import json
import warnings
from datetime import date
from pathlib import Path

import numpy as np

KEPT = Path(__file__).with_suffix(".json")


def mixed() -> dict[str, object]:
    """Coefficients and variances of the demo's mixed model."""
    from statsmodels.regression.mixed_linear_model import MixedLM
    from truth.test_demo_mixed_model import BRANCH, fitted

    fit = fitted()
    x = np.column_stack([fit.branches[fit.groups], fit.design.matrix])
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        # Its usual search, by gradients, runs to an infinite likelihood here; four others agree to six digits.
        found = MixedLM(fit.tamed.y, x, groups=fit.groups).fit(reml=True, method="powell")
    return {
        "branch": BRANCH,
        "jobs": len(fit.groups),
        "crews": fit.crews.height,
        "coefficients": [float(one) for one in found.fe_params],
        "residual_variance": float(found.scale),
        "crew_variance": float(np.asarray(found.cov_re)[0, 0]),
        "reml_log_likelihood": float(found.llf),
    }


def logistic() -> dict[str, object]:
    """Coefficients and standard errors of a logistic regression on made quotes."""
    from published.test_price_responses import made_quotes
    from statsmodels.discrete.discrete_model import Logit

    design, won = made_quotes()
    found = Logit(won.astype(float), design).fit(disp=0, tol=1e-12)
    return {
        "quotes": len(won),
        "coefficients": [float(one) for one in found.params],
        "standard_errors": [float(one) for one in found.bse],
    }


def main() -> None:
    """Fit both and keep what came out."""
    import statsmodels

    kept = {
        "date": date.today().isoformat(),
        "statsmodels": statsmodels.__version__,
        "mixed": mixed(),
        "logistic": logistic(),
    }
    KEPT.write_text(json.dumps(kept, indent=1) + "\n", encoding="utf-8")
    print(json.dumps(kept, indent=1))


if __name__ == "__main__":
    main()
