"""The fixture that keeps what is held against outside truth, and the report's own test last."""

import pytest
from validation_kit import Validated


@pytest.fixture
def validated(request) -> Validated:
    """Asserts against a published value and keeps both for the guide's validation report."""
    return Validated(request.module.__name__)


def pytest_collection_modifyitems(items):
    """The report is judged when all that it is made of has run."""
    items.sort(key=lambda item: item.path.name == "test_validation_report.py")
