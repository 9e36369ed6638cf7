"""Let these tests share how pages are read, however pytest is started."""

import sys
from pathlib import Path

_ROOT = str(Path(__file__).parents[2])
if _ROOT not in sys.path:
    sys.path.insert(0, _ROOT)
