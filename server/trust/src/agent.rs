//! Requests over TLS: the step that ureq takes between the connection and the request.

use std::fmt;
use std::io::{Read, Write};
use std::sync::Arc;

use tokio_rustls::rustls::pki_types::ServerName;
use tokio_rustls::rustls::{ClientConfig, ClientConnection, StreamOwned};
use ureq::config::Config;
use ureq::unversioned::resolver::DefaultResolver;
use ureq::unversioned::transport::{
    Buffers, ConnectionDetails, Connector, Either, LazyBuffers, NextTimeout, TcpConnector,
    Transport, TransportAdapter,
};
use ureq::{Agent, Error};

/// An agent that speaks TLS by `tls` to addresses that begin with `https`. Without `tls` these are refused.
pub fn agent(config: Config, tls: Option<Arc<ClientConfig>>) -> Agent {
    let connector = TcpConnector::default().chain(TlsConnector(tls));
    Agent::with_parts(config, connector, DefaultResolver::default())
}

/// Wraps a connection in TLS where the address asks for it.
struct TlsConnector(Option<Arc<ClientConfig>>);

impl fmt::Debug for TlsConnector {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str("TlsConnector")
    }
}

impl<In: Transport> Connector<In> for TlsConnector {
    type Out = Either<In, TlsTransport>;

    fn connect(
        &self,
        details: &ConnectionDetails<'_>,
        chained: Option<In>,
    ) -> Result<Option<Self::Out>, Error> {
        let Some(transport) = chained else {
            return Ok(None);
        };
        let Some(config) = self.0.as_ref().filter(|_| details.needs_tls()) else {
            return Ok(Some(Either::A(transport)));
        };
        let host = details.uri.host().unwrap_or_default();
        let host = host.trim_start_matches('[').trim_end_matches(']');
        let name = ServerName::try_from(host.to_owned())
            .map_err(|_| Error::Tls("the address has no host name that TLS could check"))?;
        let mut conn = ClientConnection::new(Arc::clone(config), name)
            .map_err(|_| Error::Tls("TLS could not be started"))?;
        let boxed: Box<dyn Transport> = Box::new(transport);
        let mut sock = TransportAdapter::new(boxed, Arc::clone(&details.current_time));
        sock.set_timeout(details.timeout);
        conn.complete_io(&mut sock)?;
        let buffers = LazyBuffers::new(
            details.config.input_buffer_size(),
            details.config.output_buffer_size(),
        );
        let stream = StreamOwned { conn, sock };
        Ok(Some(Either::B(TlsTransport { buffers, stream })))
    }
}

/// A connection wrapped in TLS.
struct TlsTransport {
    buffers: LazyBuffers,
    stream: StreamOwned<ClientConnection, TransportAdapter>,
}

impl fmt::Debug for TlsTransport {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.debug_struct("TlsTransport")
            .field("below", &self.stream.sock.inner())
            .finish_non_exhaustive()
    }
}

impl Transport for TlsTransport {
    fn buffers(&mut self) -> &mut dyn Buffers {
        &mut self.buffers
    }

    fn transmit_output(&mut self, amount: usize, timeout: NextTimeout) -> Result<(), Error> {
        self.stream.get_mut().set_timeout(timeout);
        self.stream.write_all(&self.buffers.output()[..amount])?;
        Ok(())
    }

    fn await_input(&mut self, timeout: NextTimeout) -> Result<bool, Error> {
        self.stream.get_mut().set_timeout(timeout);
        let amount = self.stream.read(self.buffers.input_append_buf())?;
        self.buffers.input_appended(amount);
        Ok(amount > 0)
    }

    fn is_open(&mut self) -> bool {
        self.stream.get_mut().get_mut().is_open()
    }

    fn is_tls(&self) -> bool {
        true
    }
}
