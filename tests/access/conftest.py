"""The job of the clean workbook and its engineer, as the pages of imports know them."""

from tests.office.importing.conftest import desk, planner, small_job, storage  # noqa: F401
