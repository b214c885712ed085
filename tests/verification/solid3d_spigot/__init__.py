"""An independent three-dimensional model of a bore on a rigid spigot with scale, run by a general-purpose solver."""
