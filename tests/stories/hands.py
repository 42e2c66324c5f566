"""What people do on pages: come in, press, load again, and see that nothing scrolls sideways."""

import re


def come_in(town, page, who):
    """The terminal prints an address that works once; its page has one button."""
    said = town.command("let_in", *([who] if who else []))
    page.goto(re.search(r"http\S+/in/\S+", said).group().rstrip("."))
    follow(page.get_by_role("button", name="Come in"))


def follow(target):
    """Press a button or a link and wait for the page behind it."""
    with target.page.expect_navigation():
        target.click()


def wait_for(town, page, where, words, *, is_there=True):
    """Load the page again, as a person would, until the worker has been there."""
    for _ in range(40):
        page.reload()
        if (words in page.inner_text(where)) == is_there:
            return
        town.worker_wakes()
        page.wait_for_timeout(500)
    raise AssertionError(f"{words!r} in {page.inner_text(where)!r}")


def no_sideways_scroll(page):
    assert page.evaluate("document.documentElement.scrollWidth - innerWidth") <= 0
