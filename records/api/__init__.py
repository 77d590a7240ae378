"""What every resource of the web API shares: its fields, its paging, and who may ask for what."""
