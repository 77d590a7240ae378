"""A job as the workbook that the importer reads: everything that it says, and nothing that it would refuse."""
