"""Makes the demo's spreadsheets from the stated truth: `python -m data_demo.make`."""
