## What the service bears, and over what
fault-too-slow-title = That took too long to arrive
fault-too-slow-text = The connection was too slow, so nothing was done. Send it again where the signal is better.
fault-busy-title = The office is planning already
fault-busy-text = As much is being planned as can be at once. Wait a few seconds, then try again.
sign-in-needs-https = This connection can be read on its way here, so nobody is signed in over it. Open this address with https:// in front.
