//! Lines of an answer as the body of a response.

use axum::body::Body;
use futures_core::Stream;
use std::convert::Infallible;
use std::pin::Pin;
use std::task::{Context, Poll};
use tokio::sync::mpsc::Receiver;

/// Lines as they come. When the browser goes, it is dropped, and whoever sends finds the channel closed.
struct Lines(Receiver<String>);

impl Stream for Lines {
    type Item = Result<String, Infallible>;

    fn poll_next(mut self: Pin<&mut Self>, context: &mut Context<'_>) -> Poll<Option<Self::Item>> {
        self.0.poll_recv(context).map(|line| line.map(Ok))
    }
}

/// A body that ends when nobody sends any more.
pub(super) fn body(lines: Receiver<String>) -> Body {
    Body::from_stream(Lines(lines))
}
