"""From the route of a line to its geometry: pieces, joints, cut lengths and spools."""
