// Keeps the pages of the yard at hand without signal. Nothing is kept yet.
