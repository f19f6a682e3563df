"""The subjects of a summary, each made from the results it speaks of."""
