"""One corner through one door: as read, as driven, clamped in other ways, many at once."""
