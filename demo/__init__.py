"""The demonstration job: invented works, people, steel and records, written as a job workbook with certificates."""
