"""`python -m assistant` is the same as `rungbook`."""

import sys

from assistant.cli import main

sys.exit(main())
