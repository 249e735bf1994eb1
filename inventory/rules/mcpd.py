"""The descriptors of a passport file, in the order in which such a file has them.

Source: FAO/Bioversity Multi-Crop Passport Descriptors V.2.1, 2015. Several values of one descriptor are joined with ";"
without a blank, what is not known is an empty cell, codes are text, a day is YYYYMMDD with "-" for what is not known.
"""

from collections.abc import Iterable, Iterator, Mapping, Sequence

DESCRIPTORS = (
    "PUID", "INSTCODE", "ACCENUMB", "COLLNUMB", "COLLCODE", "COLLNAME", "COLLINSTADDRESS", "COLLMISSID", "GENUS",
    "SPECIES", "SPAUTHOR", "SUBTAXA", "SUBTAUTHOR", "CROPNAME", "ACCENAME", "ACQDATE", "ORIGCTY", "COLLSITE",
    "DECLATITUDE", "LATITUDE", "DECLONGITUDE", "LONGITUDE", "COORDUNCERT", "COORDDATUM", "GEOREFMETH", "ELEVATION",
    "COLLDATE", "BREDCODE", "BREDNAME", "SAMPSTAT", "ANCEST", "COLLSRC", "DONORCODE", "DONORNAME", "DONORNUMB",
    "OTHERNUMB", "DUPLSITE", "DUPLINSTNAME", "STORAGE", "MLSSTAT", "REMARKS",
)  # fmt: skip


def table_of(passports: Iterable[Mapping[str, str]]) -> Iterator[Sequence[str]]:
    """Write passports as the rows of a file, under a row of all descriptors.

    Args:
        passports: descriptor -> text; those that are not named are not known.

    Raises:
        KeyError: a text under a name that is no descriptor would be lost.
    """
    yield DESCRIPTORS
    for passport in passports:
        if strange := set(passport) - set(DESCRIPTORS):
            raise KeyError(f"no descriptors: {sorted(strange)}")
        yield tuple(passport.get(name, "") for name in DESCRIPTORS)
