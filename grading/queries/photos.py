"""Photographs of pans."""

from grading.models import PanPhoto, PhotoBytes
from inventory.models import Station


def photos_of(station: Station, sample_id: int) -> list[PanPhoto]:
    """Give the photographs of a sample that stand, the newest first (1 query)."""
    rows = PanPhoto.objects.filter(station=station, sample=sample_id, operation__reversed_by__isnull=True)
    return list(rows.select_related("operation__by").order_by("-operation__seq"))


def photo_bytes(station: Station, mark: str) -> bytes | None:
    """Give the bytes of a photograph of this station; None where it has none of this hash (2 queries)."""
    if not PanPhoto.objects.filter(station=station, sha256=mark, operation__reversed_by__isnull=True).exists():
        return None
    content = PhotoBytes.objects.filter(sha256=mark).values_list("content", flat=True).first()
    return None if content is None else bytes(content)
