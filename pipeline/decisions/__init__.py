"""What to do: pure functions on the store's frames; every threshold is a named value."""
