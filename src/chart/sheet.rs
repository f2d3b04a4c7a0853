//! What is round a picture: title, what is shown, key, notes, source, and words for those who do not see it.

use super::Look;
use super::color::Ink;
use super::label::{BOLD, FONT_FAMILY, lines, width_em};
use super::mark::Style;
use super::scale::px;
use maud::{Markup, html};

/// A place to draw in, px.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Area {
    /// Left edge.
    pub left: f64,
    /// Upper edge.
    pub top: f64,
    /// Width.
    pub width: f64,
    /// Height.
    pub height: f64,
}

/// A chart without its picture.
#[derive(Debug)]
pub(super) struct Sheet<'a> {
    /// Name that no other chart of a page has.
    pub id: &'a str,
    /// How it is drawn.
    pub look: Look,
    /// What is found.
    pub title: String,
    /// What is shown.
    pub shown: String,
    /// What the picture looks like, for those who do not see it; title and notes are read out too.
    pub described: String,
    /// Series: style and name.
    pub key: Vec<(Style, String)>,
    /// What a reader must know.
    pub notes: Vec<String>,
    /// What made it.
    pub source: &'a str,
}

/// Lines of text with the place of the next.
struct Flow {
    look: Look,
    y: f64,
    parts: Vec<Markup>,
}

/// Weight of text.
enum Face {
    Title,
    Plain,
    Small,
}

impl Flow {
    fn text(&mut self, text: &str, face: &Face) {
        let font = self.look.font();
        let Ink {
            text: strong,
            quiet,
            ..
        } = self.look.theme.ink();
        let (size, fill, weight, wider) = match face {
            Face::Title => (1.3 * font, strong, "bold", BOLD),
            Face::Plain => (font, quiet, "normal", 1.0),
            Face::Small => ((0.84 * font).max(10.0), quiet, "normal", 1.0),
        };
        let width = self.look.width() - 2.0 * margin(self.look);
        for line in lines(text, width / (size * wider)) {
            self.y += 1.3 * size;
            let y = self.y - 0.3 * size;
            self.parts.push(html! {
                text x=(px(margin(self.look))) y=(px(y)) font-size=(px(size)) font-weight=(weight) fill=(fill) { (line) }
            });
        }
    }

    /// Series in rows.
    fn key(&mut self, key: &[(Style, String)]) {
        let font = self.look.font();
        let left = margin(self.look);
        let right = self.look.width() - left;
        let mut x = left;
        self.y += 0.3 * font;
        for (number, (style, name)) in key.iter().enumerate() {
            let wide = (1.5 + width_em(name)) * font;
            if number == 0 || x + wide > right {
                x = left;
                self.y += 1.5 * font;
            }
            let y = self.y - 0.3 * font;
            let fill = self.look.theme.ink().text;
            self.parts.push(html! {
                (style.mark((x + 0.5 * font, y - 0.34 * font), None))
                text x=(px(x + 1.2 * font)) y=(px(y)) font-size=(px(font)) fill=(fill) { (name) }
            });
            x += wide + 1.2 * font;
        }
    }
}

/// Space at the edges, px.
fn margin(look: Look) -> f64 {
    look.font()
}

impl Sheet<'_> {
    /// The whole SVG, with a picture of this height.
    pub fn draw(&self, height: f64, picture: impl FnOnce(Area) -> Markup) -> String {
        let look = self.look;
        let (width, font, ink) = (look.width(), look.font(), look.theme.ink());
        let mut flow = Flow {
            look,
            y: 0.6 * font,
            parts: Vec::new(),
        };
        flow.text(&self.title, &Face::Title);
        flow.y += 0.2 * font;
        flow.text(&self.shown, &Face::Plain);
        flow.key(&self.key);
        flow.y += 0.8 * font;
        let body = picture(Area {
            left: margin(look),
            top: flow.y,
            width: width - 2.0 * margin(look),
            height,
        });
        flow.y += height + 0.6 * font;
        for note in &self.notes {
            flow.text(note, &Face::Small);
        }
        flow.text(self.source, &Face::Small);
        let height = (flow.y + 0.7 * font).ceil();
        let (title_id, text_id) = (format!("{}-title", self.id), format!("{}-text", self.id));
        let mut told = vec![self.shown.as_str(), self.described.as_str()];
        told.extend(self.notes.iter().map(String::as_str));
        html! {
            svg xmlns="http://www.w3.org/2000/svg" width=(px(width)) height=(px(height)) viewBox={ "0 0 " (px(width)) " " (px(height)) }
                font-family=(FONT_FAMILY) role="img" aria-labelledby={ (title_id) " " (text_id) } {
                title id=(title_id) { (self.title) }
                desc id=(text_id) { (told.join(" ")) }
                rect width=(px(width)) height=(px(height)) fill=(ink.ground) {}
                @for part in &flow.parts { (part) "\n" }
                (body)
            }
        }
        .into_string()
            + "\n"
    }
}
