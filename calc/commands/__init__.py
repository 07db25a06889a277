"""Groups of commands that `calc.cli` takes in."""
