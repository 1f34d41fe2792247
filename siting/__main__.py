"""python -m siting"""

from siting.cli.main import main

if __name__ == "__main__":
    main()
