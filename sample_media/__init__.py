"""Small clips to try Brinkangle on, each with its truth beside it."""
