"""A log set against published tables of food safety, and the usual cautions. It promises nothing."""
