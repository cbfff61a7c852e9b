"""`python -m trimkit` is the same as the command `trimkit`."""

import sys

from trimkit.cli import main

sys.exit(main())
