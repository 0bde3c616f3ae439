"""Amounts of money, markups, the price of an hour, the age of a price, and where a bill is paid.

Takes typed text, `Decimal` and exact fractions. Gives amounts in whole cents (`amounts`), a markup or margin
(`markup`), the rate that a year's costs and billable hours come to (`hourly_rate`), whether a price is too
old (`price_age`), and the address at which a bill is paid (`pay_link`). Pure: imports the standard library
and nothing of this project outside itself.
"""
