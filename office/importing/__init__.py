"""The job workbook: reading its sheets, resolving what they name, planning the change and applying it, all or nothing."""
