//! The line between a tablet and the office: it can be cut, and it can lose what goes over it.

use std::net::SocketAddr;
use std::sync::Arc;
use std::sync::atomic::{AtomicU8, AtomicU64, Ordering};

use tokio::io::{AsyncReadExt, AsyncWriteExt};
use tokio::net::{TcpListener, TcpStream};
use tokio::sync::watch;

/// How the line is.
#[derive(Clone, Copy, PartialEq, Eq)]
pub enum Way {
    /// All gets through.
    Clear = 0,
    /// Nothing gets through, and what was under way is broken off.
    Cut = 1,
    /// What is asked arrives; the answer is lost.
    LosesAnswers = 2,
}

/// A line to a service.
pub struct Line {
    /// Where it is reached.
    pub base: String,
    way: Arc<AtomicU8>,
    cuts: watch::Sender<u64>,
    lost: Arc<AtomicU64>,
}

impl Line {
    /// A clear line to the service at `base`.
    pub async fn to(base: &str) -> Self {
        let office: SocketAddr = base
            .trim_start_matches("http://")
            .parse()
            .expect("an address");
        let listener = TcpListener::bind("127.0.0.1:0").await.expect("a free port");
        let base = format!("http://{}", listener.local_addr().expect("an address"));
        let (way, lost) = (Arc::new(AtomicU8::new(0)), Arc::new(AtomicU64::new(0)));
        let (cuts, heard) = watch::channel(0);
        let line = Self {
            base,
            way: way.clone(),
            cuts,
            lost: lost.clone(),
        };
        tokio::spawn(async move {
            while let Ok((tablet, _)) = listener.accept().await {
                if way.load(Ordering::Relaxed) != Way::Cut as u8 {
                    tokio::spawn(carry(
                        tablet,
                        office,
                        way.clone(),
                        heard.clone(),
                        lost.clone(),
                    ));
                }
            }
        });
        line
    }

    /// Makes the line so; whatever is under way is broken off where it is not clear.
    pub fn be(&self, way: Way) {
        self.way.store(way as u8, Ordering::Relaxed);
        if way != Way::Clear {
            self.cuts.send_modify(|cuts| *cuts += 1);
        }
    }

    /// How many answers it has lost.
    pub fn lost(&self) -> u64 {
        self.lost.load(Ordering::Relaxed)
    }
}

/// Carries one connection until either end goes or the line is cut.
async fn carry(
    mut tablet: TcpStream,
    office: SocketAddr,
    way: Arc<AtomicU8>,
    mut cuts: watch::Receiver<u64>,
    lost: Arc<AtomicU64>,
) {
    let Ok(mut office) = TcpStream::connect(office).await else {
        return;
    };
    cuts.borrow_and_update();
    let (mut asked, mut answered) = (vec![0; 1 << 16], vec![0; 1 << 16]);
    loop {
        tokio::select! {
            _ = cuts.changed() => return,
            read = tablet.read(&mut asked) => match read {
                Ok(bytes @ 1..) if office.write_all(&asked[..bytes]).await.is_ok() => {}
                _ => return,
            },
            read = office.read(&mut answered) => match read {
                Ok(bytes @ 1..) => {
                    if way.load(Ordering::Relaxed) == Way::LosesAnswers as u8 {
                        lost.fetch_add(1, Ordering::Relaxed);
                        return;
                    }
                    if tablet.write_all(&answered[..bytes]).await.is_err() {
                        return;
                    }
                }
                _ => return,
            },
        }
    }
}
