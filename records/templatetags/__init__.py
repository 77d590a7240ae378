"""What templates of every package can say."""
