"""Amounts of money, markups, the price of an hour, and the age of a price.

Takes typed text, `Decimal` and exact fractions. Gives amounts in whole cents (`amounts`), a markup or margin
(`markup`), the rate that a year's costs and billable hours come to (`hourly_rate`), and whether a price is
too old (`price_age`). Pure: imports the standard library and nothing of this project outside itself.
"""
