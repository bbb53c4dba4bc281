//! Papers to read, fill in and print: one content, as plain text and as a page that prints. Nothing here decides what they say.

mod page;
mod text;

pub use page::page;
pub use text::text;

/// One paper.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct Paper {
    /// What it is.
    pub title: String,
    /// What it says, from top to bottom.
    pub parts: Vec<Part>,
}

/// One part of a paper.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Part {
    /// A heading.
    Heading(String),
    /// A paragraph.
    Text(String),
    /// One of several points.
    Point(String),
    /// Something known: what it is, and what it says.
    Fact(String, String),
    /// A question with what is known already, and room to write.
    Question {
        /// What is asked.
        asked: String,
        /// What is known already, one line each.
        known: Vec<String>,
        /// How many lines are left to write on.
        lines: usize,
    },
    /// A place to write one thing: a name, a day.
    Blank(String),
    /// A line across: what stands below is for another reader.
    Cut,
}

impl Paper {
    /// Begins a paper.
    #[must_use]
    pub fn new(title: impl Into<String>) -> Self {
        Self {
            title: title.into(),
            parts: Vec::new(),
        }
    }

    /// Adds a heading.
    pub fn heading(&mut self, words: impl Into<String>) -> &mut Self {
        self.add(Part::Heading(words.into()))
    }

    /// Adds a paragraph.
    pub fn text(&mut self, words: impl Into<String>) -> &mut Self {
        self.add(Part::Text(words.into()))
    }

    /// Adds a point.
    pub fn point(&mut self, words: impl Into<String>) -> &mut Self {
        self.add(Part::Point(words.into()))
    }

    /// Adds something known.
    pub fn fact(&mut self, what: impl Into<String>, says: impl Into<String>) -> &mut Self {
        self.add(Part::Fact(what.into(), says.into()))
    }

    /// Adds something where it is known.
    pub fn known(&mut self, what: &str, says: Option<impl Into<String>>) -> &mut Self {
        match says {
            Some(says) => self.fact(what, says),
            None => self,
        }
    }

    /// Adds a question with what is known already.
    pub fn question(
        &mut self,
        asked: impl Into<String>,
        known: Vec<String>,
        lines: usize,
    ) -> &mut Self {
        self.add(Part::Question {
            asked: asked.into(),
            known,
            lines,
        })
    }

    /// Adds a place to write one thing.
    pub fn blank(&mut self, what: impl Into<String>) -> &mut Self {
        self.add(Part::Blank(what.into()))
    }

    /// Adds a line across.
    pub fn cut(&mut self) -> &mut Self {
        self.add(Part::Cut)
    }

    fn add(&mut self, part: Part) -> &mut Self {
        self.parts.push(part);
        self
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn sample() -> Paper {
        let mut paper = Paper::new("A paper");
        paper
            .heading("First & last")
            .text("word ".repeat(40))
            .point("a point")
            .fact("Made on", "1898\nor so")
            .question("Whose is it?", vec!["Cora’s <own>".to_owned()], 2)
            .question("And this?", Vec::new(), 1)
            .blank("Name")
            .cut()
            .text("for another reader");
        paper
    }

    #[test]
    fn the_text_is_for_old_programs_and_narrow_windows() {
        let text = text(&sample());
        assert!(
            text.starts_with("\u{feff}A paper\r\n=======\r\n\r\nFirst & last\r\n------------\r\n")
        );
        assert!(
            text.replace("\r\n", "")
                .chars()
                .all(|one| one != '\n' && one != '\r')
        );
        assert!(
            text.lines().all(|line| line.chars().count() <= 79),
            "{text}"
        );
        assert!(text.contains("  Made on: 1898 or so\r\n"));
        assert!(text.contains("Whose is it?\r\n    Cora’s <own>\r\n    ____"));
        assert!(text.contains("Name: ____"));
    }

    #[test]
    fn the_page_says_the_same_and_escapes_it() {
        let page = page(&sample());
        for words in [
            "First &amp; last",
            "a point",
            "Cora’s &lt;own&gt;",
            "for another reader",
        ] {
            assert!(page.contains(words), "{words}");
        }
        assert!(!page.contains("<script"));
    }
}
