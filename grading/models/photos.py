"""Photographs of pans: the act that attached one, and its bytes, kept once by their hash.

Bytes stand in the database and not in a folder, so that a backup holds them and a restored one is proved by their hash.
"""

from django.db import models

from grading.models.bench import Sample
from inventory.models import Operation, Station


class PanPhoto(models.Model):
    """A photograph attached to a sample; written with its operation and never changed."""

    station = models.ForeignKey(Station, on_delete=models.PROTECT)
    operation = models.OneToOneField(Operation, on_delete=models.PROTECT, related_name="pan_photo")
    sample = models.ForeignKey(Sample, on_delete=models.PROTECT, related_name="photos")
    sha256 = models.CharField(max_length=64, help_text="Of the small picture that is kept, hexadecimal.")
    size = models.PositiveIntegerField(help_text="Bytes.")
    width = models.PositiveSmallIntegerField()
    height = models.PositiveSmallIntegerField()
    file_name = models.CharField(max_length=120, blank=True, help_text="As it was sent.")

    written_with_operation = True

    def __str__(self) -> str:
        return f"photograph of {self.sample}"


class PhotoBytes(models.Model):
    """A small JPEG by its hash."""

    sha256 = models.CharField(max_length=64, primary_key=True)
    content = models.BinaryField()

    def __str__(self) -> str:
        return self.sha256[:12]
