"""Makes `tool_kit` importable from every folder of tests; which tests share a process."""

import pytest

BROWSER = "tests/browser/"


def pytest_collection_modifyitems(items):
    """What drives a browser comes first: it takes longest, and all of it stays together."""
    items.sort(key=lambda item: not item.nodeid.startswith(BROWSER))


@pytest.hookimpl(optionalhook=True)
def pytest_xdist_make_scheduler(config, log):
    """With `-n`: a file's tests share a process and its fixtures, all browser tests share one.

    Two browsers and their servers at once would slow each other on two processors until the tests
    of hurried readers tell of the machine instead of the product.
    """
    from xdist.scheduler import LoadScopeScheduling

    class ByFile(LoadScopeScheduling):
        def _split_scope(self, nodeid: str) -> str:
            return BROWSER if nodeid.startswith(BROWSER) else nodeid.split("::", 1)[0]

    config.option.loadscopereorder = False  # as collected: the longest first, short ones last
    return ByFile(config, log)
