"""`python -m coach` is the command `coach`."""

from coach.cli import main

if __name__ == "__main__":
    main()
