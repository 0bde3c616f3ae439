"""The forms of the catalog, one module for each subject.

Takes what is typed on a page and gives rows or plain values, or the sentences that say what to correct.
`model_form` is shared with the forms of the other apps. Imports the catalog's packages up to starter.
"""
