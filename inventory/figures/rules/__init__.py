"""Pure folds of counts into the figures of a collection: parts whose sum is the whole."""
