"""`python -m assistant` is the same as `tickover`."""

import sys

from assistant.cli import main

sys.exit(main())
