"""Pictures for the demo, drawn, as nobody's floor or receipt was photographed."""

import io
import math

from PIL import Image, ImageDraw, ImageFont

WIDTH, HEIGHT, BOARD = 900, 600, 100


def photo() -> bytes:
    """Return a JPEG of floor boards with a dark patch of rot."""
    picture = Image.new("RGB", (WIDTH, HEIGHT), (176, 142, 98))
    draw = ImageDraw.Draw(picture)
    for board in range(HEIGHT // BOARD):
        top = board * BOARD
        shade = 8 * (board % 3)
        draw.rectangle((0, top, WIDTH, top + BOARD), (176 - shade, 142 - shade, 98 - shade))
        for line in range(4):
            y = top + 18 + line * 20
            grain = [(x, y + 4 * math.sin(x / (60 + 13 * line) + board)) for x in range(0, WIDTH, 12)]
            draw.line(grain, (150 - shade, 116 - shade, 76 - shade), 2)
        draw.line((0, top, WIDTH, top), (74, 56, 36), 5)
    for ring, color in enumerate(((112, 84, 54), (84, 62, 42), (56, 42, 32))):
        inset = 55 * ring
        draw.ellipse((330 + inset, 170 + inset, 720 - inset, 500 - inset), color)
    kept = io.BytesIO()
    picture.save(kept, "JPEG", quality=80)
    return kept.getvalue()


def receipt_photo(store: str, says: str, total: str) -> bytes:
    """Return a JPEG of a receipt on a bench."""
    picture = Image.new("RGB", (480, 640), (120, 96, 70))
    draw = ImageDraw.Draw(picture)
    draw.rectangle((60, 40, 420, 600), (250, 249, 244))
    large, small = ImageFont.load_default(26), ImageFont.load_default(18)
    draw.text((90, 80), store, (40, 40, 40), large)
    draw.text((90, 150), says, (70, 70, 70), small)
    for line in range(5):
        draw.line((90, 230 + line * 34, 390 - 40 * (line % 3), 230 + line * 34), (200, 198, 190), 6)
    draw.text((90, 470), f"TOTAL {total}", (40, 40, 40), large)
    kept = io.BytesIO()
    picture.save(kept, "JPEG", quality=70)
    return kept.getvalue()
