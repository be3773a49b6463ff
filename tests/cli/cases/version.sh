seedbreak --version
