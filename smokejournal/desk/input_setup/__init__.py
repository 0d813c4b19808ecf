"""Setting up an input, with a look at what arrives. It opens no port itself."""
