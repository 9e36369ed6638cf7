"""Run the program: ``python -m thumbwright``."""

from thumbwright.cli.commands import main

if __name__ == "__main__":
    main()
