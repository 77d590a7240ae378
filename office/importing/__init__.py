"""The job workbook: reading sheets, resolving names, planning the change, applying it whole or not at all."""
