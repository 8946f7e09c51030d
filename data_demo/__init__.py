"""The demo: three seasons of an invented firm, and the program that makes them."""
