"""Static files under names that carry their hash, once `serve` has collected them."""

from django.contrib.staticfiles.storage import HashedFilesMixin
from whitenoise.storage import CompressedManifestStaticFilesStorage


class CollectedStaticStorage(CompressedManifestStaticFilesStorage):
    """Strict about files it does not know, but plain names where nothing was collected yet.

    A command that draws a sheet needs no collected files: it reads them where they lie.
    """

    def url(self, name: str | None, force: bool = False) -> str:
        if not self.hashed_files:
            return super(HashedFilesMixin, self).url(name)
        return super().url(name, force)
