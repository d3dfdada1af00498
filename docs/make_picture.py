"""The README's picture from a wet-out map: greys only, small enough to load anywhere.

Run as `python docs/make_picture.py out/map.png`.
"""

from __future__ import annotations

import sys
from pathlib import Path

from PIL import Image

WIDTH_PX = 1600


def main(wet_out_map: Path) -> None:
    """Write the picture beside this file."""
    with Image.open(wet_out_map) as image:
        height_px = round(WIDTH_PX * image.height / image.width)
        greys = image.convert("L").resize((WIDTH_PX, height_px), Image.Resampling.LANCZOS)
    greys.quantize(16).save(Path(__file__).parent / "hull_side_map.png", optimize=True)


if __name__ == "__main__":
    main(Path(sys.argv[1]))
