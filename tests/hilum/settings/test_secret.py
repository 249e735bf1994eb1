from concurrent.futures import ThreadPoolExecutor
from pathlib import Path

from hilum.settings.secret import secret_kept_in


def test_it_makes_a_long_secret_once_and_keeps_it(tmp_path: Path) -> None:
    folder = tmp_path / "data"
    first = secret_kept_in(folder)
    assert len(first) >= 64
    assert secret_kept_in(folder) == first


def test_only_its_owner_may_read_it(tmp_path: Path) -> None:
    secret_kept_in(tmp_path)
    assert (tmp_path / "secret").stat().st_mode & 0o777 == 0o600


def test_two_sites_have_two_secrets(tmp_path: Path) -> None:
    assert secret_kept_in(tmp_path / "a") != secret_kept_in(tmp_path / "b")


def test_starting_many_at_once_gives_all_the_same_secret(tmp_path: Path) -> None:
    with ThreadPoolExecutor(16) as pool:
        assert len(set(pool.map(secret_kept_in, [tmp_path] * 64))) == 1
    assert [file.name for file in tmp_path.iterdir()] == ["secret"]
