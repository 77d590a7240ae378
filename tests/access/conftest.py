"""The job of the clean workbook and its engineer, as the pages of imports know them."""

from tests.office.importing.conftest import desk, made_small_job, planner, small_job, storage  # noqa: F401
