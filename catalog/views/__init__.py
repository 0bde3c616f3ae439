"""The pages of the catalog and of the firm's settings.

A view fetches rows, has a form read what is typed and a lower package act on it, and answers with a page.
Imports every other package of the catalog.
"""
