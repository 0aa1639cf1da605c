"""`python -m cutopt`: the command without its script."""

import sys

from cutopt.command import main

sys.exit(main())
