"""The site: settings, routes and servers; it knows every package and none knows it."""
