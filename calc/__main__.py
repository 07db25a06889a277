"""`python -m calc` is `sandsleeve`."""

from calc.cli import main

if __name__ == "__main__":
    main(prog_name="sandsleeve")
