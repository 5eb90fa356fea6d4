"""``python -m counterpoise``."""

from counterpoise.cli.main import main

if __name__ == "__main__":
    main()
