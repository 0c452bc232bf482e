"""The typeface shipped with the package: Open Sans, for text in SVG files, the report and the sheet."""

from __future__ import annotations

from pathlib import Path

FAMILY = "Open Sans"
REGULAR = Path(__file__).with_name("OpenSans-Regular.ttf")
BOLD = Path(__file__).with_name("OpenSans-Bold.ttf")
LICENCE = Path(__file__).with_name("LICENSE.txt")
