"""How what is typed gets saved: each form once, one at a time, and never over what was saved meanwhile.

It knows nothing of any subject and imports none of our apps.

- A page's form carries a key (`{% form_key %}`). The middleware saves a key with what was posted and with
  the address that it led to, in the same transaction as what the form wrote. Whoever posts the same again
  is led there, and nothing is written twice.
- A form that changes a row also carries what its fields held when the page was made
  (`{% form_key form %}`). A posted form is merged with the row as it is by then (`MergesEdits`): what only
  one side touched is merged; what both changed is refused with both values (status 409), and he chooses.
- All saves wait for each other, so that what a view checks is still so when it writes.
"""
