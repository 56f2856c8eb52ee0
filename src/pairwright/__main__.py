"""`python -m pairwright` is the command."""

from pairwright.cli.main import run

if __name__ == "__main__":
    run()
