"""How a pit clogs: drain time and sediment by year, and the date each meets its limit."""
