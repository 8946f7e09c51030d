"""The story of a season closing, top to bottom: stages, and the Prefect flow over the same stages."""
