"""Sheets that are being answered, and sheets that were saved."""

from collections.abc import Iterable
from datetime import datetime, timedelta
from uuid import UUID

from django.db.models import Exists, OuterRef, QuerySet

from inventory.models import Load, SheetDraft, Station
from inventory.rules.sheet_drafts import KEPT_DAYS, NoSheetDraft


def find_sheet_draft(station: Station, uid: UUID) -> SheetDraft:
    """Find a sheet that is kept aside (1 query).

    Raises:
        NoSheetDraft: it was thrown away or cleaned.
    """
    draft = SheetDraft.objects.filter(station=station, uid=uid).first()
    if draft is None:
        raise NoSheetDraft
    return draft


def sheet_draft_of(station: Station, sha256: str) -> SheetDraft:
    """Find a sheet that is kept aside by the hash of its bytes (1 query).

    Raises:
        NoSheetDraft: it was thrown away or cleaned, or never kept.
    """
    draft = SheetDraft.objects.filter(station=station, sha256=sha256.casefold()).first()
    if draft is None:
        raise NoSheetDraft
    return draft


def open_sheet_drafts(station: Station) -> QuerySet[SheetDraft]:
    """Sheets that are kept aside and not saved, the newest first (1 query)."""
    saved = Load.objects.filter(
        station=OuterRef("station"), sha256=OuterRef("sha256"), kind=OuterRef("kind"), unloaded_at__isnull=True
    )  # fmt: skip
    drafts = SheetDraft.objects.filter(~Exists(saved), station=station)
    return drafts.select_related("started_by").order_by("-touched_at")


def sheets_waiting(station: Station) -> QuerySet[SheetDraft]:
    """Sheets that somebody still means to save: not those whose load was taken back and that nobody touched since."""
    given_up = Load.objects.filter(
        station=OuterRef("station"), sha256=OuterRef("sha256"), kind=OuterRef("kind"),
        unloaded_at__gte=OuterRef("touched_at"),
    )  # fmt: skip
    return open_sheet_drafts(station).filter(~Exists(given_up))


def forgotten_drafts(now: datetime) -> QuerySet[SheetDraft]:
    """Sheets of any station that nobody touched for a long time."""
    return SheetDraft.objects.filter(touched_at__lt=now - timedelta(days=KEPT_DAYS))


def sheets_kept(hashes: Iterable[str]) -> set[str]:
    """Say which of these files a draft still needs (1 query)."""
    return set(SheetDraft.objects.filter(sha256__in=list(hashes)).values_list("sha256", flat=True))
