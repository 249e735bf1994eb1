"""Open what everything may be loaded from: a backup, or a Data Package of ours."""

import zipfile
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

from inventory.queries.archives import CONTENTS, Archive
from inventory.queries.packages import PackageArchive
from inventory.rules.archives import NoSuchFile, NotABackup
from inventory.rules.packages import DESCRIPTOR


@contextmanager
def opened(file: Path) -> Iterator[Archive]:
    """Open a backup or a package.

    Raises:
        Mistake: there is no such file, or it is neither.
    """
    try:
        packed = zipfile.ZipFile(file)
    except OSError as error:
        raise NoSuchFile(str(file), error.strerror or "no reason given") from error
    except (zipfile.BadZipFile, ValueError, NotImplementedError) as error:
        raise NotABackup(str(file)) from error
    with packed:
        names = set(packed.namelist())
        is_package = DESCRIPTOR in names and CONTENTS not in names
        yield (PackageArchive if is_package else Archive)(packed, str(file))
