"""Finding the texts of a page, and putting others in their place."""

import pytest

from ellwand.language.pages import texts_of, with_texts


@pytest.mark.parametrize(
    ("html", "texts"),
    [
        ("<p>One line.</p><p>Another.</p>", ["One line.", "Another."]),
        ("<li><strong>Photos</strong>, if so.</li>", ["<strong>Photos</strong>, if so."]),
        # Tags around all of it stay outside.
        ("<p><strong>All of it.</strong></p>", ["All of it."]),
        ('<label><span class="soft">(a little)</span> more</label>',
         ['<span class="soft">(a little)</span> more']),
        # What has an id, or a class of its own, stands for itself.
        ('<p><a class="button" href="#a">Go</a> <a class="button" href="#b">Stay</a></p>',
         ["Go", "Stay"]),
        ('<p>See <a href="#tape">the tape</a>.</p>', ['See <a href="#tape">the tape</a>.']),
        ("<p>\n  broken\n  over lines\n</p>", ["broken over lines"]),
        ('<nav aria-label="Steps"><img alt="A tape" src="x"></nav>', ["Steps", "A tape"]),
        ('<p translate="no">ellwand <em>x</em></p><p>yes</p>', ["yes"]),
        ("<script>let a = '<p>no</p>';</script>", []),
        ("<p>a &amp; b</p>", ["a &amp; b"]),
        ('<input type="text" placeholder="Like 168 cm">', ["Like 168 cm"]),
    ],
)  # fmt: skip
def test_what_is_a_text(html, texts):
    assert texts_of(html) == texts
    assert " ".join(with_texts(html, str).split()) == " ".join(html.split())


def test_all_else_stays_as_it_is():
    html = '<!doctype html>\n<html lang="en"><body>\n<p id="x"> One. </p><br>\n</body></html>'
    assert with_texts(html, str.upper) == html.replace("One.", "ONE.")
