"""Commands of inspection."""
