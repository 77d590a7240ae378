"""The way in and a person's own account: sign-in with a second factor, passwords, and where one is signed in."""
