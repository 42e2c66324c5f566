"""The year's visits put into the weeks before it turns wet, with a bound no plan can beat."""
