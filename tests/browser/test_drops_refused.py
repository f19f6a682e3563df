"""A dropped file that is not taken: one sentence below it, in the reader's language."""

import re

import pytest
from playwright.sync_api import expect

pytestmark = pytest.mark.browser

LARGE = b"0" * (5 * 2**20 + 1)  # a sketch may have 5 MB
TOO_LARGE = {
    "en": "“large.json” was not taken: it is 6 MB large, and a file dropped here may be 5 MB",
    "es": "«large.json» no se aceptó: ocupa 6 MB y aquí se admiten 5 MB como máximo.",
}

OF_ANOTHER_KIND = (
    "“logger.xyz” was not taken: only files that end in .csv, .txt are taken here. "
    "Drop one of these."
)

HELD_BACK = """() => {
  let told = window.offgridRefused;
  window.have_come = false;
  Object.defineProperty(window, "offgridRefused", {
    get: () => have_come ? told : undefined, set: (again) => { told = again },
  });
}"""


def drop(watched, name: str, content: bytes, place: str = "") -> None:
    """Whatever comes of it."""
    uploader = watched.page.get_by_test_id("stFileUploader").filter(has_text=place).first
    uploader.locator("input[type=file]").set_input_files(
        {"name": name, "mimeType": "text/plain", "buffer": content}
    )


def said(watched):
    """What is said below a place to drop on; of several alerts none is to be seen beside it."""
    return watched.page.get_by_test_id("stFileUploader").get_by_role("alert")


@pytest.mark.parametrize("language", TOO_LARGE)
def test_a_file_too_large(open_page, dashboard, language):
    watched = open_page(f"{dashboard}/saved?lang={language}")
    drop(watched, "large.json", LARGE)
    expect(said(watched)).to_have_text(re.compile("^" + re.escape(TOO_LARGE[language])))


def test_a_file_of_another_kind(open_page, dashboard):
    watched = open_page(f"{dashboard}/followup")
    drop(watched, "logger.xyz", b"time,W\n")
    expect(said(watched)).to_have_text(OF_ANOTHER_KIND)


def test_a_file_dropped_before_the_sentences_have_come(open_page, dashboard):
    """The frame brings them to the browser; on a slow line the place to drop on is there first."""
    watched = open_page(f"{dashboard}/followup")
    watched.page.evaluate(HELD_BACK)
    drop(watched, "logger.xyz", b"time,W\n")
    expect(said(watched)).to_have_text(re.compile("not allowed"))
    watched.page.evaluate("have_come = true")
    expect(said(watched)).to_have_text(OF_ANOTHER_KIND)


@pytest.mark.parametrize(
    ("status", "sentence"),
    [
        (507, "This server holds as many dropped files as it can: try again in a few minutes."),
        (500, "“logger.csv” did not reach the server: check the connection, then drop it"),
    ],
)
def test_a_file_that_the_server_refuses(open_page, dashboard, status, sentence):
    watched = open_page(f"{dashboard}/followup")
    watched.page.route("**/_stcore/upload_file/**", lambda asked: asked.fulfill(status=status))
    drop(watched, "logger.csv", b"time,W\n")
    expect(said(watched)).to_have_text(re.compile("^" + re.escape(sentence)))


def test_the_next_file_takes_the_sentence_away(open_page, dashboard):
    watched = open_page(f"{dashboard}/followup")
    drop(watched, "logger.xyz", b"time,W\n")
    expect(said(watched)).to_have_count(1)
    drop(watched, "logger.csv", b"time,W\n")
    expect(watched.page.locator(".offgrid-refused")).to_have_count(0)
