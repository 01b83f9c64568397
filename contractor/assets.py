"""The store of static files in production: each by a name made of its bytes; knows no file."""

from whitenoise.storage import CompressedManifestStaticFilesStorage

OURS = ("contractor/*.js", "jobs/*.js", "scheduling/*.js")
IMPORT = (r'(?P<matched>from "(?P<url>\./[^"]+)";)', 'from "%(url)s";')


class HashedFiles(CompressedManifestStaticFilesStorage):  # type: ignore[misc]
    """Name also what a script imports by its hashed name, so that no old part meets a new one.

    Django's own switch for this takes an example in a comment of a library for an import.
    """

    patterns = (
        *CompressedManifestStaticFilesStorage.patterns,
        *((names, (IMPORT,)) for names in OURS),
    )
