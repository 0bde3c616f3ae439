"""The end of a job: its punch list, the certificate that both sign, and the care of what was built.

It knows what is still to do, what that is worth, and when the end may be signed. Of money it asks by
`BillingHooks` what is still to be asked for; the app above asks `punch_list.read` what stays held for items,
and bills by that. Call-backs after the end are rows of `jobsite.models`, as their hours are.
"""
