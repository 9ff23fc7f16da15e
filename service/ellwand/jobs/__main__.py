"""`python -m ellwand.jobs`: a jobs process.

It imports nothing by itself, because detector processes import the main module of their parent.
"""

if __name__ == "__main__":
    import sys

    from ellwand.jobs.worker import main

    sys.exit(main())
