"""Prices in and out as a CSV file.

Takes the bytes of a file and gives rows and refusals (`csv_file`, pure); puts the rows into the catalog and
reads the catalog as rows (`import_export`); writes CSV that is safe in a spreadsheet (`spreadsheet`, pure).
Imports catalog.measures, catalog.money, catalog.models and catalog.rows.
"""
