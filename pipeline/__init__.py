"""perfoot: what a season of rooflines really cost, and what to charge, whom to train and what to buy next."""

__version__ = "0.1.0"
