"""Hands the pages to MkDocs: navigation, text, and where "edit this page" leads. The only file that knows MkDocs."""

from pathlib import Path

from mkdocs.config.defaults import MkDocsConfig
from mkdocs.exceptions import Abort
from mkdocs.plugins import CombinedEvent, event_priority
from mkdocs.structure.files import File, Files

from build_scripts.models.problem import DataErrors
from build_scripts.pages import Page, index_text, mends, navigation, pages

_made: list[Page] = []


def on_config(config: MkDocsConfig) -> MkDocsConfig:
    """Make all pages and the navigation over them."""
    try:
        _made[:] = pages(Path(config.config_file_path).parent)
    except DataErrors as errors:
        raise Abort(str(errors)) from None
    config.nav = navigation(_made)
    return config


def on_files(files: Files, config: MkDocsConfig) -> Files:
    """Put each page in the place of a file of the same name, if there is one."""
    for page in _made:
        if written := files.get_file_from_path(page.uri):
            files.remove(written)
        file = File.generated(config, page.uri, content=page.text)
        file.edit_uri = page.origin
        files.append(file)
    return files


on_post_page = on_post_template = mends.written
on_page_context = CombinedEvent(event_priority(100)(index_text.before), event_priority(-100)(index_text.after))
