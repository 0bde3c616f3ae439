"""Prices in and out as files.

Takes the bytes of a file and gives rows and refusals (`csv_file`, pure); puts the rows into the catalog and
reads the catalog as rows (`import_export`); reads a supplier's file in any order of columns (`any_file`,
pure) and puts its prices on packages (`supplier_prices`); writes CSV that is safe in a spreadsheet
(`spreadsheet`, pure). Imports catalog.measures, catalog.money, catalog.models and catalog.rows.
"""
