"""What every request goes through before a page or a program's address sees it."""

import pytest
from django.http import HttpRequest, HttpResponse
from django.test import RequestFactory

from hilum.security import readable_path


@pytest.mark.parametrize(("address", "seen"), [("/a/%00b", "/a/�b"), ("/a/b", "/a/b"), ("/%E2%9C%93", "/✓")])
def test_a_nul_in_an_address_is_read_as_a_sign_that_nothing_is_named_by(address: str, seen: str) -> None:
    paths = []

    def page(request: HttpRequest) -> HttpResponse:
        paths.append(request.path_info)
        return HttpResponse()

    readable_path(page)(RequestFactory().get(address))
    assert paths == [seen]
