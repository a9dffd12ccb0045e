"""What the server answers to whom; needs no browser, but the app as a server of its own."""

import http.client
from pathlib import Path

import pytest
from playwright.sync_api import Page

pytestmark = pytest.mark.browser

PATHS = ["/", "/tasks", "/media/0.png", "/_stcore/health", "/_stcore/upload_file/a/b"]


def answer(address: str, path: str, host: str) -> http.client.HTTPResponse:
    """Return the answer to a request that names a host."""
    server = http.client.HTTPConnection(address.removeprefix("http://"), timeout=30)
    server.request("GET", path, headers={"Host": host})
    return server.getresponse()


@pytest.mark.parametrize("path", PATHS)
def test_a_name_of_another_site_is_refused_for(path: str, app_address: str):
    assert answer(app_address, path, "plant.example:8501").status == 400


@pytest.mark.parametrize("host", ["localhost:8501", "127.0.0.1", "LOCALHOST"])
def test_this_machine_by_its_own_names_is_served(host: str, app_address: str):
    assert answer(app_address, "/", host).status == 200


@pytest.mark.parametrize("path", PATHS)
def test_no_answer_may_stand_in_a_frame(path: str, app_address: str):
    said = answer(app_address, path, "localhost").headers
    assert (said["X-Frame-Options"], said["Content-Security-Policy"]) == (
        "DENY",
        "frame-ancestors 'none'",
    )


def test_a_page_of_another_site_cannot_frame_the_app(page: Page, app_address: str, tmp_path: Path):
    outside = tmp_path / "outside.html"
    outside.write_text(f'<iframe src="{app_address}"></iframe>', "utf-8")
    page.goto(outside.as_uri())
    framed = page.frames[-1]
    framed.wait_for_load_state()
    assert framed.url == "chrome-error://chromewebdata/"
