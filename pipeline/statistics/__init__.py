"""How sure: pure functions on arrays and frames, seeds passed in."""
