//! Connections of this machine, so many and no more, and none that keeps its place without being answered.

use axum::serve::Listener;
use std::future::Future as _;
use std::io;
use std::net::SocketAddr;
use std::pin::Pin;
use std::sync::Arc;
use std::task::{Context, Poll};
use std::time::Duration;
use tokio::io::{AsyncRead, AsyncWrite, ReadBuf};
use tokio::net::{TcpListener, TcpStream};
use tokio::sync::{OwnedSemaphorePermit, Semaphore};
use tokio::time::{Instant, Sleep, sleep};

/// Most connections at once: a browser opens six for a page.
pub(super) const MOST_CONNECTIONS: usize = 32;
/// How long a connection may lie without anything being sent on it: a request must come whole and be answered within. An answer that runs says every
/// second how far it is.
const MOST_SILENCE: Duration = Duration::from_secs(60);
/// Pause after the system refused a connection.
const PAUSE: Duration = Duration::from_millis(100);

/// A listener that takes [`MOST_CONNECTIONS`] at once; more wait to be accepted.
pub(super) struct Bounded {
    listener: TcpListener,
    places: Arc<Semaphore>,
}

impl Bounded {
    pub fn new(listener: TcpListener) -> Self {
        Self {
            listener,
            places: Arc::new(Semaphore::new(MOST_CONNECTIONS)),
        }
    }
}

impl Listener for Bounded {
    type Io = Connection;
    type Addr = SocketAddr;

    async fn accept(&mut self) -> (Connection, SocketAddr) {
        loop {
            let Ok(place) = Arc::clone(&self.places).acquire_owned().await else {
                // Nobody closes the places.
                std::future::pending::<()>().await;
                continue;
            };
            match self.listener.accept().await {
                Ok((stream, from)) => {
                    // Best effort: without it short lines may come a little later.
                    let _ = stream.set_nodelay(true);
                    return (Connection::new(stream, place), from);
                }
                Err(_) => sleep(PAUSE).await,
            }
        }
    }

    fn local_addr(&self) -> io::Result<SocketAddr> {
        self.listener.local_addr()
    }
}

/// A connection that ends when it has been silent for [`MOST_SILENCE`].
pub(super) struct Connection {
    stream: TcpStream,
    silence: Pin<Box<Sleep>>,
    _place: OwnedSemaphorePermit,
}

impl Connection {
    fn new(stream: TcpStream, place: OwnedSemaphorePermit) -> Self {
        Self {
            stream,
            silence: Box::pin(sleep(MOST_SILENCE)),
            _place: place,
        }
    }

    fn sent(&mut self) {
        self.silence.as_mut().reset(Instant::now() + MOST_SILENCE);
    }
}

impl AsyncRead for Connection {
    fn poll_read(
        mut self: Pin<&mut Self>,
        context: &mut Context<'_>,
        buffer: &mut ReadBuf<'_>,
    ) -> Poll<io::Result<()>> {
        if self.silence.as_mut().poll(context).is_ready() {
            return Poll::Ready(Err(io::ErrorKind::TimedOut.into()));
        }
        Pin::new(&mut self.stream).poll_read(context, buffer)
    }
}

impl AsyncWrite for Connection {
    fn poll_write(
        mut self: Pin<&mut Self>,
        context: &mut Context<'_>,
        bytes: &[u8],
    ) -> Poll<io::Result<usize>> {
        let written = Pin::new(&mut self.stream).poll_write(context, bytes);
        if written.is_ready() {
            self.sent();
        }
        written
    }

    fn poll_flush(mut self: Pin<&mut Self>, context: &mut Context<'_>) -> Poll<io::Result<()>> {
        Pin::new(&mut self.stream).poll_flush(context)
    }

    fn poll_shutdown(mut self: Pin<&mut Self>, context: &mut Context<'_>) -> Poll<io::Result<()>> {
        Pin::new(&mut self.stream).poll_shutdown(context)
    }

    fn poll_write_vectored(
        mut self: Pin<&mut Self>,
        context: &mut Context<'_>,
        slices: &[io::IoSlice<'_>],
    ) -> Poll<io::Result<usize>> {
        let written = Pin::new(&mut self.stream).poll_write_vectored(context, slices);
        if written.is_ready() {
            self.sent();
        }
        written
    }

    fn is_write_vectored(&self) -> bool {
        self.stream.is_write_vectored()
    }
}
