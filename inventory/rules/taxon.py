"""The one crop that Hilum is for, and the codes of biological status that its seed can have.

Source: FAO/Bioversity Multi-Crop Passport Descriptors V.2.1, 2015: descriptor 19 (SAMPSTAT) and 26 (STORAGE).
"""

CROP = "Common bean"
GENUS, SPECIES, AUTHORITY = "Phaseolus", "vulgaris", "L."
BREEDERS_LINE, SEGREGATING = "410", "415"
STATUS_WORDS = {BREEDERS_LINE: "Breeder's line", SEGREGATING: "Segregating (e.g. bulk population)"}
SEED_COLLECTION = "10"
FIXED_FROM = 6  # up to F5 a bulk still segregates; from F6 on one speaks of a line


def status_of(*, is_cross: bool, has_cross: bool, generation: int | None) -> str:
    """Give the code of biological status.

    Args:
        is_cross: it is a cross itself, as F1 or bulk, and no line yet.
        has_cross: it was bred from a cross in these books; of a line from outside nothing is known.
        generation: the furthest that its seed has come: 6 for F6; None where it was not said.

    Returns:
        A code of SAMPSTAT, "" where it is not known.
    """
    if is_cross:
        return SEGREGATING
    if not has_cross:
        return ""
    return SEGREGATING if generation is not None and generation < FIXED_FROM else BREEDERS_LINE
