//! What is round the plots of a chart: title, what is shown, legend, notes, source, and words for those who do not see it.

use super::{BOLD, Ink, Style, lines, px, text::FONT_FAMILY, width_em};
use crate::chart::Look;
use crate::units::System;
use maud::{Markup, html};

/// A place to draw in, px.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Area {
    /// Left edge.
    pub left: f64,
    /// Upper edge.
    pub top: f64,
    /// Width.
    pub width: f64,
    /// Height.
    pub height: f64,
}

/// What a figure is round: one panel, or several.
pub trait Plot {
    /// Its height when it is so wide, px.
    fn height(&self, look: Look, width: f64) -> f64;
    /// Draws it; `id` is a name that no other chart of a page has.
    fn draw(&self, look: Look, area: Area, id: &str) -> Markup;
}

/// A plot of a kind of its own.
pub struct Drawing<F> {
    /// Its height, px.
    pub height: f64,
    /// Draws it.
    pub draw: F,
}

impl<F: Fn(Area, &str) -> Markup> Plot for Drawing<F> {
    fn height(&self, _: Look, _: f64) -> f64 {
        self.height
    }

    fn draw(&self, _: Look, area: Area, id: &str) -> Markup {
        (self.draw)(area, id)
    }
}

/// Words in place of a plot that there is nothing for.
pub struct Paragraph(pub String);

impl Plot for Paragraph {
    fn height(&self, look: Look, _: f64) -> f64 {
        5.0 * look.font()
    }

    fn draw(&self, look: Look, area: Area, _: &str) -> Markup {
        let font = look.font();
        html! {
            @for (number, line) in lines(&self.0, area.width / font).iter().enumerate() {
                text x=(px(area.left)) y=(px(area.top + font * (1.0 + 1.3 * number as f64))) font-size=(px(font)) fill=(look.theme.ink().quiet) { (line) }
            }
        }
    }
}

/// A chart described: all but its title.
pub struct Figure<'a> {
    /// What is shown.
    pub shown: String,
    /// What the picture looks like, for those who do not see it; title and notes are read out too.
    pub described: String,
    /// Series: style and name.
    pub legend: Vec<(Style, String)>,
    /// What a reader must know.
    pub notes: Vec<String>,
    /// The picture.
    pub plot: Box<dyn Plot + 'a>,
}

/// What can be drawn.
pub trait Describe {
    /// What is found: the title.
    fn finding(&self, units: System) -> String;

    /// The chart, described.
    fn figure(&self, look: Look) -> Figure<'_>;

    /// SVG for a page that brings the font; `source` is the line that says what made it.
    fn draw(&self, id: &str, look: Look, source: &str) -> String {
        self.figure(look)
            .svg(id, &self.finding(look.units), look, source)
    }
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
    fn legend(&mut self, legend: &[(Style, String)]) {
        let font = self.look.font();
        let left = margin(self.look);
        let right = self.look.width() - left;
        let mut x = left;
        self.y += 0.3 * font;
        for (number, (style, name)) in legend.iter().enumerate() {
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

impl Figure<'_> {
    /// The whole SVG.
    pub fn svg(&self, id: &str, title: &str, look: Look, source: &str) -> String {
        let (width, font, ink) = (look.width(), look.font(), look.theme.ink());
        let mut flow = Flow {
            look,
            y: 0.6 * font,
            parts: Vec::new(),
        };
        flow.text(title, &Face::Title);
        flow.y += 0.2 * font;
        flow.text(&self.shown, &Face::Plain);
        flow.legend(&self.legend);
        flow.y += 0.8 * font;
        let inner = width - 2.0 * margin(look);
        let area = Area {
            left: margin(look),
            top: flow.y,
            width: inner,
            height: self.plot.height(look, inner),
        };
        let body = self.plot.draw(look, area, id);
        flow.y += area.height + 0.6 * font;
        for note in &self.notes {
            flow.text(note, &Face::Small);
        }
        flow.text(source, &Face::Small);
        let height = (flow.y + 0.7 * font).ceil();
        let (title_id, text_id) = (format!("{id}-title"), format!("{id}-text"));
        let mut told = vec![self.shown.as_str(), self.described.as_str()];
        told.extend(self.notes.iter().map(String::as_str));
        html! {
            svg xmlns="http://www.w3.org/2000/svg" width=(px(width)) height=(px(height)) viewBox={ "0 0 " (px(width)) " " (px(height)) }
                font-family=(FONT_FAMILY) role="img" aria-labelledby={ (title_id) " " (text_id) } {
                title id=(title_id) { (title) }
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
