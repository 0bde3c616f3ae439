"""Pages of billing, one file a subject.

A view reads what its page needs, has a form read what was typed, asks the rules, and answers. It holds no
rule and no sum itself; it imports the packages below and nothing imports it but `urls`.
"""
