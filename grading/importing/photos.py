"""A photograph as a telephone sends it, brought to a small JPEG that holds nothing but the picture.

It is decoded and written anew: what is no picture is refused, and place, time and telephone that a camera writes into
its files (EXIF) are dropped.
"""

import hashlib
import io
import struct
from dataclasses import dataclass
from typing import IO

from inventory.rules.mistakes import Mistake, Refused
from inventory.rules.reading import quoted

MOST_BYTES = 12 * 1024 * 1024
MOST_PIXELS = 80_000_000  # a telephone has 12 to 50 million
LONGEST_SIDE = 1600
QUALITY = 80
KINDS = ("JPEG", "PNG")


class NoPhoto(Mistake):
    """No file was sent, or an empty one."""

    code = "no_photo"

    def __init__(self) -> None:
        super().__init__("No photograph was chosen. Choose a JPEG or PNG file, or take one.", field="photo")


class PhotoTooLarge(Mistake):
    """A file of more bytes than a photograph needs."""

    code = "photo_too_large"

    def __init__(self, size: int) -> None:
        says = f"The file has {size / 1024**2:.1f} MB; a photograph may have {MOST_BYTES // 1024**2}."
        super().__init__(f"{says} Send a smaller one; it is kept at {LONGEST_SIDE} pixels in any case.", field="photo")


class TooManyPixels(Mistake):
    """A picture that would fill the computer's memory."""

    code = "too_many_pixels"

    def __init__(self, width: int, height: int) -> None:
        says = f"The picture is {width} × {height} pixels; up to {MOST_PIXELS // 10**6} million can be opened."
        super().__init__(f"{says} Send a smaller one.", field="photo")


class NotAPhoto(Mistake):
    """A file that is no picture, whatever its name says."""

    code = "not_a_photo"

    def __init__(self, name: str) -> None:
        says = f"{quoted(name or 'The file')} is no JPEG or PNG picture, or is cut off. Take the photograph again."
        super().__init__(says, field="photo")


@dataclass(frozen=True)
class SmallPhoto:
    """A picture as it is kept.

    Attributes:
        sha256: of its bytes, hexadecimal.
        content: a JPEG.
        width, height: in pixels.
    """

    sha256: str
    content: bytes
    width: int
    height: int
    file_name: str


def small_photo(sent: IO[bytes], file_name: str, size: int = 0) -> SmallPhoto:
    """Decode a picture, bring it to at most 1600 pixels a side, and write it anew.

    Args:
        sent: the file as it came, at its start.
        file_name: as it was called.
        size: bytes of the whole file, where that is known.

    Raises:
        Refused: it is empty, too large, or no picture.
    """
    content = sent.read(MOST_BYTES + 1)
    if not content:
        raise Refused([NoPhoto()])
    if len(content) > MOST_BYTES:
        raise Refused([PhotoTooLarge(max(len(content), size))])
    try:
        small, width, height = _written_anew(content)
    except Mistake as mistake:
        raise Refused([mistake]) from None
    except (OSError, ValueError, SyntaxError, EOFError, struct.error, MemoryError, OverflowError) as error:
        raise Refused([NotAPhoto(file_name)]) from error
    return SmallPhoto(hashlib.sha256(small).hexdigest(), small, width, height, file_name[:120])


def _written_anew(content: bytes) -> tuple[bytes, int, int]:
    from PIL import Image, ImageOps  # noqa: PLC0415 - only whoever sends a photograph waits for the decoder

    with Image.open(io.BytesIO(content), formats=KINDS) as picture:
        width, height = picture.size
        if width * height > MOST_PIXELS:
            raise TooManyPixels(width, height)
        picture.draft("RGB", (LONGEST_SIDE, LONGEST_SIDE))  # a JPEG is decoded small at once
        upright = ImageOps.exif_transpose(picture)
        upright.thumbnail((LONGEST_SIDE, LONGEST_SIDE))
        plain = Image.new("RGB", upright.size, "white")
        plain.paste(upright.convert("RGBA"), mask=upright.convert("RGBA").getchannel("A"))
    out = io.BytesIO()
    plain.save(out, "JPEG", quality=QUALITY, optimize=True)
    return out.getvalue(), plain.width, plain.height
