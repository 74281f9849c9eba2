"""The same window and small shop as the shell's tests."""

from tests.app.shell.conftest import _fresh_user, open_window  # noqa: F401
