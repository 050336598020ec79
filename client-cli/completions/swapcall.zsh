#compdef swapcall

autoload -U is-at-least

_swapcall() {
    typeset -A opt_args
    typeset -a _arguments_options
    local ret=1

    if is-at-least 5.2; then
        _arguments_options=(-s -S -C)
    else
        _arguments_options=(-s -C)
    fi

    local context curcontext="$curcontext" state line
    _arguments "${_arguments_options[@]}" : \
'--hub=[Address of the hub \[env\: SWAPCALL_HUB\] \[default\: http\://127.0.0.1\:7979\]]:URL:_default' \
'(--token-file)--token=[The token; better kept in a file or in the environment \[env\: SWAPCALL_TOKEN\]]:TOKEN:_default' \
'--token-file=[A file that holds the token \[env\: SWAPCALL_TOKEN_FILE\]]:FILE:_files' \
'--hub-fingerprint=[Take exactly the certificate with this fingerprint, as the hub prints it \[env\: SWAPCALL_HUB_FINGERPRINT\]]:SHA256:…:_default' \
'(--hub-fingerprint)--hub-ca=[Take certificates signed by the authorities in this PEM file \[env\: SWAPCALL_HUB_CA\] \[default\: the system'\''s\]]:FILE:_files' \
'--spool=[The folder for reports that wait \[env\: SWAPCALL_SPOOL\] \[default\: \$XDG_STATE_HOME/swapcall/spool\]]:DIR:_files' \
'--spool-size=[How large that folder may grow; its oldest reports are thinned, then dropped \[env\: SWAPCALL_SPOOL_SIZE\] \[default\: 64 MiB\]]:SIZE:_default' \
'--config=[Configuration file with hub, hub_fingerprint, hub_ca, token, token_file, spool, spool_size \[default\: \$XDG_CONFIG_HOME/swapcall/config.toml\]]:FILE:_files' \
'--json[Answer in JSON\: one document, or one to a line where there are many]' \
'-h[Print help]' \
'--help[Print help]' \
'-V[Print version]' \
'--version[Print version]' \
":: :_swapcall_commands" \
"*::: :->swapcall" \
&& ret=0
    case $state in
    (swapcall)
        words=($line[1] "${words[@]}")
        (( CURRENT += 1 ))
        curcontext="${curcontext%:*:*}:swapcall-command-$line[1]:"
        case $line[1] in
            (report)
_arguments "${_arguments_options[@]}" : \
'-b+[What the gauge shows, 0 to 100]:BATTERY:_default' \
'--battery=[What the gauge shows, 0 to 100]:BATTERY:_default' \
'--step=[The gauge'\''s resolution in percent\: 1, 5, 25]:STEP:_default' \
'--pack=[Label of the pack]:PACK:_default' \
'--celsius=[Pack temperature in degrees Celsius]:CELSIUS:_default' \
'--volts=[Pack voltage]:VOLTS:_default' \
'*--card=[A card\: A=40, A=51.2/128GB, A\:C12=40; may be repeated]:SLOT=FILL:_default' \
'--slot-mode=[How the slots work together\: single, relay, simultaneous]:SLOT_MODE:_default' \
'--bit-rate=[Bit rate in Mb/s]:MBPS:_default' \
'-m+[What the camera is doing\: rec, standby, off]:MODE:_default' \
'--mode=[What the camera is doing\: rec, standby, off]:MODE:_default' \
'--hub=[Address of the hub \[env\: SWAPCALL_HUB\] \[default\: http\://127.0.0.1\:7979\]]:URL:_default' \
'(--token-file)--token=[The token; better kept in a file or in the environment \[env\: SWAPCALL_TOKEN\]]:TOKEN:_default' \
'--token-file=[A file that holds the token \[env\: SWAPCALL_TOKEN_FILE\]]:FILE:_files' \
'--hub-fingerprint=[Take exactly the certificate with this fingerprint, as the hub prints it \[env\: SWAPCALL_HUB_FINGERPRINT\]]:SHA256:…:_default' \
'(--hub-fingerprint)--hub-ca=[Take certificates signed by the authorities in this PEM file \[env\: SWAPCALL_HUB_CA\] \[default\: the system'\''s\]]:FILE:_files' \
'--spool=[The folder for reports that wait \[env\: SWAPCALL_SPOOL\] \[default\: \$XDG_STATE_HOME/swapcall/spool\]]:DIR:_files' \
'--spool-size=[How large that folder may grow; its oldest reports are thinned, then dropped \[env\: SWAPCALL_SPOOL_SIZE\] \[default\: 64 MiB\]]:SIZE:_default' \
'--config=[Configuration file with hub, hub_fingerprint, hub_ca, token, token_file, spool, spool_size \[default\: \$XDG_CONFIG_HOME/swapcall/config.toml\]]:FILE:_files' \
'--external[On external power]' \
'--as-cart[Say that a program read these values, not a person]' \
'--json[Answer in JSON\: one document, or one to a line where there are many]' \
'-h[Print help]' \
'--help[Print help]' \
':unit -- Callsign:_default' \
'*::words -- Values by shape\: 63, rec, A=40:_default' \
&& ret=0
;;
(watch)
_arguments "${_arguments_options[@]}" : \
'--every=[How often to look and report]:TIME:_default' \
'--power-supply=[Read this computer'\''s battery]::PATH:_files' \
'*--mount=[The folder a card is mounted on, A=/media/card or, with its label, A\:C12=/media/card; may be repeated]:SLOT=FOLDER:_default' \
'(--mount)--mounts-under=[Every card that is mounted below a folder, as slots A, B …]:FOLDER:_files' \
'--http=[A device that answers with JSON; the report'\''s own form, unless --http-map says where the values stand]:URL:_default' \
'*--http-map=[Where a value stands, by JSON Pointer\: battery=/power/percent, mode=/rec, A.used_percent=/cards/0/fill; may be repeated]:KEY=POINTER:_default' \
'--ptp=[A camera on the network by PTP/IP\: its battery and its cards]:HOST[:PORT]:_default' \
'--command=[A shell line that prints a report as JSON; its last object is taken]:LINE:_default' \
'-m+[What the camera is doing, where it is not seen from the cards\: rec, standby, off]:MODE:_default' \
'--mode=[What the camera is doing, where it is not seen from the cards\: rec, standby, off]:MODE:_default' \
'--pack=[Label of the pack]:PACK:_default' \
'--slot-mode=[How the slots work together\: single, relay, simultaneous]:SLOT_MODE:_default' \
'--bit-rate=[Bit rate in Mb/s]:MBPS:_default' \
'--hub=[Address of the hub \[env\: SWAPCALL_HUB\] \[default\: http\://127.0.0.1\:7979\]]:URL:_default' \
'(--token-file)--token=[The token; better kept in a file or in the environment \[env\: SWAPCALL_TOKEN\]]:TOKEN:_default' \
'--token-file=[A file that holds the token \[env\: SWAPCALL_TOKEN_FILE\]]:FILE:_files' \
'--hub-fingerprint=[Take exactly the certificate with this fingerprint, as the hub prints it \[env\: SWAPCALL_HUB_FINGERPRINT\]]:SHA256:…:_default' \
'(--hub-fingerprint)--hub-ca=[Take certificates signed by the authorities in this PEM file \[env\: SWAPCALL_HUB_CA\] \[default\: the system'\''s\]]:FILE:_files' \
'--spool=[The folder for reports that wait \[env\: SWAPCALL_SPOOL\] \[default\: \$XDG_STATE_HOME/swapcall/spool\]]:DIR:_files' \
'--spool-size=[How large that folder may grow; its oldest reports are thinned, then dropped \[env\: SWAPCALL_SPOOL_SIZE\] \[default\: 64 MiB\]]:SIZE:_default' \
'--config=[Configuration file with hub, hub_fingerprint, hub_ca, token, token_file, spool, spool_size \[default\: \$XDG_CONFIG_HOME/swapcall/config.toml\]]:FILE:_files' \
'--typed[Ask the person at the terminal for the values, again and again]' \
'--json[Answer in JSON\: one document, or one to a line where there are many]' \
'-h[Print help]' \
'--help[Print help]' \
':unit -- Callsign:_default' \
&& ret=0
;;
(board)
_arguments "${_arguments_options[@]}" : \
'--hub=[Address of the hub \[env\: SWAPCALL_HUB\] \[default\: http\://127.0.0.1\:7979\]]:URL:_default' \
'(--token-file)--token=[The token; better kept in a file or in the environment \[env\: SWAPCALL_TOKEN\]]:TOKEN:_default' \
'--token-file=[A file that holds the token \[env\: SWAPCALL_TOKEN_FILE\]]:FILE:_files' \
'--hub-fingerprint=[Take exactly the certificate with this fingerprint, as the hub prints it \[env\: SWAPCALL_HUB_FINGERPRINT\]]:SHA256:…:_default' \
'(--hub-fingerprint)--hub-ca=[Take certificates signed by the authorities in this PEM file \[env\: SWAPCALL_HUB_CA\] \[default\: the system'\''s\]]:FILE:_files' \
'--spool=[The folder for reports that wait \[env\: SWAPCALL_SPOOL\] \[default\: \$XDG_STATE_HOME/swapcall/spool\]]:DIR:_files' \
'--spool-size=[How large that folder may grow; its oldest reports are thinned, then dropped \[env\: SWAPCALL_SPOOL_SIZE\] \[default\: 64 MiB\]]:SIZE:_default' \
'--config=[Configuration file with hub, hub_fingerprint, hub_ca, token, token_file, spool, spool_size \[default\: \$XDG_CONFIG_HOME/swapcall/config.toml\]]:FILE:_files' \
'--plain[One line per change, for logs and screen readers]' \
'--json[Answer in JSON\: one document, or one to a line where there are many]' \
'-h[Print help]' \
'--help[Print help]' \
&& ret=0
;;
(calls)
_arguments "${_arguments_options[@]}" : \
'--hub=[Address of the hub \[env\: SWAPCALL_HUB\] \[default\: http\://127.0.0.1\:7979\]]:URL:_default' \
'(--token-file)--token=[The token; better kept in a file or in the environment \[env\: SWAPCALL_TOKEN\]]:TOKEN:_default' \
'--token-file=[A file that holds the token \[env\: SWAPCALL_TOKEN_FILE\]]:FILE:_files' \
'--hub-fingerprint=[Take exactly the certificate with this fingerprint, as the hub prints it \[env\: SWAPCALL_HUB_FINGERPRINT\]]:SHA256:…:_default' \
'(--hub-fingerprint)--hub-ca=[Take certificates signed by the authorities in this PEM file \[env\: SWAPCALL_HUB_CA\] \[default\: the system'\''s\]]:FILE:_files' \
'--spool=[The folder for reports that wait \[env\: SWAPCALL_SPOOL\] \[default\: \$XDG_STATE_HOME/swapcall/spool\]]:DIR:_files' \
'--spool-size=[How large that folder may grow; its oldest reports are thinned, then dropped \[env\: SWAPCALL_SPOOL_SIZE\] \[default\: 64 MiB\]]:SIZE:_default' \
'--config=[Configuration file with hub, hub_fingerprint, hub_ca, token, token_file, spool, spool_size \[default\: \$XDG_CONFIG_HOME/swapcall/config.toml\]]:FILE:_files' \
'--all[Ended calls as well]' \
'--json[Answer in JSON\: one document, or one to a line where there are many]' \
'-h[Print help]' \
'--help[Print help]' \
&& ret=0
;;
(claim)
_arguments "${_arguments_options[@]}" : \
'--as=[Claim in another'\''s name (leads and owners)]:NAME:_default' \
'--note=[A word for the others]:NOTE:_default' \
'--hub=[Address of the hub \[env\: SWAPCALL_HUB\] \[default\: http\://127.0.0.1\:7979\]]:URL:_default' \
'(--token-file)--token=[The token; better kept in a file or in the environment \[env\: SWAPCALL_TOKEN\]]:TOKEN:_default' \
'--token-file=[A file that holds the token \[env\: SWAPCALL_TOKEN_FILE\]]:FILE:_files' \
'--hub-fingerprint=[Take exactly the certificate with this fingerprint, as the hub prints it \[env\: SWAPCALL_HUB_FINGERPRINT\]]:SHA256:…:_default' \
'(--hub-fingerprint)--hub-ca=[Take certificates signed by the authorities in this PEM file \[env\: SWAPCALL_HUB_CA\] \[default\: the system'\''s\]]:FILE:_files' \
'--spool=[The folder for reports that wait \[env\: SWAPCALL_SPOOL\] \[default\: \$XDG_STATE_HOME/swapcall/spool\]]:DIR:_files' \
'--spool-size=[How large that folder may grow; its oldest reports are thinned, then dropped \[env\: SWAPCALL_SPOOL_SIZE\] \[default\: 64 MiB\]]:SIZE:_default' \
'--config=[Configuration file with hub, hub_fingerprint, hub_ca, token, token_file, spool, spool_size \[default\: \$XDG_CONFIG_HOME/swapcall/config.toml\]]:FILE:_files' \
'--json[Answer in JSON\: one document, or one to a line where there are many]' \
'-h[Print help]' \
'--help[Print help]' \
':call -- Number or UUID of the call:_default' \
&& ret=0
;;
(release)
_arguments "${_arguments_options[@]}" : \
'--hub=[Address of the hub \[env\: SWAPCALL_HUB\] \[default\: http\://127.0.0.1\:7979\]]:URL:_default' \
'(--token-file)--token=[The token; better kept in a file or in the environment \[env\: SWAPCALL_TOKEN\]]:TOKEN:_default' \
'--token-file=[A file that holds the token \[env\: SWAPCALL_TOKEN_FILE\]]:FILE:_files' \
'--hub-fingerprint=[Take exactly the certificate with this fingerprint, as the hub prints it \[env\: SWAPCALL_HUB_FINGERPRINT\]]:SHA256:…:_default' \
'(--hub-fingerprint)--hub-ca=[Take certificates signed by the authorities in this PEM file \[env\: SWAPCALL_HUB_CA\] \[default\: the system'\''s\]]:FILE:_files' \
'--spool=[The folder for reports that wait \[env\: SWAPCALL_SPOOL\] \[default\: \$XDG_STATE_HOME/swapcall/spool\]]:DIR:_files' \
'--spool-size=[How large that folder may grow; its oldest reports are thinned, then dropped \[env\: SWAPCALL_SPOOL_SIZE\] \[default\: 64 MiB\]]:SIZE:_default' \
'--config=[Configuration file with hub, hub_fingerprint, hub_ca, token, token_file, spool, spool_size \[default\: \$XDG_CONFIG_HOME/swapcall/config.toml\]]:FILE:_files' \
'--json[Answer in JSON\: one document, or one to a line where there are many]' \
'-h[Print help]' \
'--help[Print help]' \
':call -- Number or UUID of the call:_default' \
&& ret=0
;;
(done)
_arguments "${_arguments_options[@]}" : \
'--note=[A word for the others]:NOTE:_default' \
'--hub=[Address of the hub \[env\: SWAPCALL_HUB\] \[default\: http\://127.0.0.1\:7979\]]:URL:_default' \
'(--token-file)--token=[The token; better kept in a file or in the environment \[env\: SWAPCALL_TOKEN\]]:TOKEN:_default' \
'--token-file=[A file that holds the token \[env\: SWAPCALL_TOKEN_FILE\]]:FILE:_files' \
'--hub-fingerprint=[Take exactly the certificate with this fingerprint, as the hub prints it \[env\: SWAPCALL_HUB_FINGERPRINT\]]:SHA256:…:_default' \
'(--hub-fingerprint)--hub-ca=[Take certificates signed by the authorities in this PEM file \[env\: SWAPCALL_HUB_CA\] \[default\: the system'\''s\]]:FILE:_files' \
'--spool=[The folder for reports that wait \[env\: SWAPCALL_SPOOL\] \[default\: \$XDG_STATE_HOME/swapcall/spool\]]:DIR:_files' \
'--spool-size=[How large that folder may grow; its oldest reports are thinned, then dropped \[env\: SWAPCALL_SPOOL_SIZE\] \[default\: 64 MiB\]]:SIZE:_default' \
'--config=[Configuration file with hub, hub_fingerprint, hub_ca, token, token_file, spool, spool_size \[default\: \$XDG_CONFIG_HOME/swapcall/config.toml\]]:FILE:_files' \
'--json[Answer in JSON\: one document, or one to a line where there are many]' \
'-h[Print help]' \
'--help[Print help]' \
':call -- Number or UUID of the call:_default' \
&& ret=0
;;
(undo)
_arguments "${_arguments_options[@]}" : \
'--hub=[Address of the hub \[env\: SWAPCALL_HUB\] \[default\: http\://127.0.0.1\:7979\]]:URL:_default' \
'(--token-file)--token=[The token; better kept in a file or in the environment \[env\: SWAPCALL_TOKEN\]]:TOKEN:_default' \
'--token-file=[A file that holds the token \[env\: SWAPCALL_TOKEN_FILE\]]:FILE:_files' \
'--hub-fingerprint=[Take exactly the certificate with this fingerprint, as the hub prints it \[env\: SWAPCALL_HUB_FINGERPRINT\]]:SHA256:…:_default' \
'(--hub-fingerprint)--hub-ca=[Take certificates signed by the authorities in this PEM file \[env\: SWAPCALL_HUB_CA\] \[default\: the system'\''s\]]:FILE:_files' \
'--spool=[The folder for reports that wait \[env\: SWAPCALL_SPOOL\] \[default\: \$XDG_STATE_HOME/swapcall/spool\]]:DIR:_files' \
'--spool-size=[How large that folder may grow; its oldest reports are thinned, then dropped \[env\: SWAPCALL_SPOOL_SIZE\] \[default\: 64 MiB\]]:SIZE:_default' \
'--config=[Configuration file with hub, hub_fingerprint, hub_ca, token, token_file, spool, spool_size \[default\: \$XDG_CONFIG_HOME/swapcall/config.toml\]]:FILE:_files' \
'--json[Answer in JSON\: one document, or one to a line where there are many]' \
'-h[Print help]' \
'--help[Print help]' \
':call -- Number or UUID of the call:_default' \
&& ret=0
;;
(invite)
_arguments "${_arguments_options[@]}" : \
'--role=[What the guest may do\: less than you may]:ROLE:_default' \
'*--unit=[For a cart\: the units it may report for; every unit when left out]:UNIT:_default' \
'--minutes=[How long the code works]:MINUTES:_default' \
'--hub=[Address of the hub \[env\: SWAPCALL_HUB\] \[default\: http\://127.0.0.1\:7979\]]:URL:_default' \
'(--token-file)--token=[The token; better kept in a file or in the environment \[env\: SWAPCALL_TOKEN\]]:TOKEN:_default' \
'--token-file=[A file that holds the token \[env\: SWAPCALL_TOKEN_FILE\]]:FILE:_files' \
'--hub-fingerprint=[Take exactly the certificate with this fingerprint, as the hub prints it \[env\: SWAPCALL_HUB_FINGERPRINT\]]:SHA256:…:_default' \
'(--hub-fingerprint)--hub-ca=[Take certificates signed by the authorities in this PEM file \[env\: SWAPCALL_HUB_CA\] \[default\: the system'\''s\]]:FILE:_files' \
'--spool=[The folder for reports that wait \[env\: SWAPCALL_SPOOL\] \[default\: \$XDG_STATE_HOME/swapcall/spool\]]:DIR:_files' \
'--spool-size=[How large that folder may grow; its oldest reports are thinned, then dropped \[env\: SWAPCALL_SPOOL_SIZE\] \[default\: 64 MiB\]]:SIZE:_default' \
'--config=[Configuration file with hub, hub_fingerprint, hub_ca, token, token_file, spool, spool_size \[default\: \$XDG_CONFIG_HOME/swapcall/config.toml\]]:FILE:_files' \
'--json[Answer in JSON\: one document, or one to a line where there are many]' \
'-h[Print help]' \
'--help[Print help]' \
':name -- Whose it will be; shown on claims:_default' \
&& ret=0
;;
(join)
_arguments "${_arguments_options[@]}" : \
'--hub=[Address of the hub \[env\: SWAPCALL_HUB\] \[default\: http\://127.0.0.1\:7979\]]:URL:_default' \
'(--token-file)--token=[The token; better kept in a file or in the environment \[env\: SWAPCALL_TOKEN\]]:TOKEN:_default' \
'--token-file=[A file that holds the token \[env\: SWAPCALL_TOKEN_FILE\]]:FILE:_files' \
'--hub-fingerprint=[Take exactly the certificate with this fingerprint, as the hub prints it \[env\: SWAPCALL_HUB_FINGERPRINT\]]:SHA256:…:_default' \
'(--hub-fingerprint)--hub-ca=[Take certificates signed by the authorities in this PEM file \[env\: SWAPCALL_HUB_CA\] \[default\: the system'\''s\]]:FILE:_files' \
'--spool=[The folder for reports that wait \[env\: SWAPCALL_SPOOL\] \[default\: \$XDG_STATE_HOME/swapcall/spool\]]:DIR:_files' \
'--spool-size=[How large that folder may grow; its oldest reports are thinned, then dropped \[env\: SWAPCALL_SPOOL_SIZE\] \[default\: 64 MiB\]]:SIZE:_default' \
'--config=[Configuration file with hub, hub_fingerprint, hub_ca, token, token_file, spool, spool_size \[default\: \$XDG_CONFIG_HOME/swapcall/config.toml\]]:FILE:_files' \
'--json[Answer in JSON\: one document, or one to a line where there are many]' \
'-h[Print help]' \
'--help[Print help]' \
':code -- The code, in any case, with or without its hyphen; or the lead'\''s whole link, between quotes:_default' \
&& ret=0
;;
(find)
_arguments "${_arguments_options[@]}" : \
'--hub=[Address of the hub \[env\: SWAPCALL_HUB\] \[default\: http\://127.0.0.1\:7979\]]:URL:_default' \
'(--token-file)--token=[The token; better kept in a file or in the environment \[env\: SWAPCALL_TOKEN\]]:TOKEN:_default' \
'--token-file=[A file that holds the token \[env\: SWAPCALL_TOKEN_FILE\]]:FILE:_files' \
'--hub-fingerprint=[Take exactly the certificate with this fingerprint, as the hub prints it \[env\: SWAPCALL_HUB_FINGERPRINT\]]:SHA256:…:_default' \
'(--hub-fingerprint)--hub-ca=[Take certificates signed by the authorities in this PEM file \[env\: SWAPCALL_HUB_CA\] \[default\: the system'\''s\]]:FILE:_files' \
'--spool=[The folder for reports that wait \[env\: SWAPCALL_SPOOL\] \[default\: \$XDG_STATE_HOME/swapcall/spool\]]:DIR:_files' \
'--spool-size=[How large that folder may grow; its oldest reports are thinned, then dropped \[env\: SWAPCALL_SPOOL_SIZE\] \[default\: 64 MiB\]]:SIZE:_default' \
'--config=[Configuration file with hub, hub_fingerprint, hub_ca, token, token_file, spool, spool_size \[default\: \$XDG_CONFIG_HOME/swapcall/config.toml\]]:FILE:_files' \
'--json[Answer in JSON\: one document, or one to a line where there are many]' \
'-h[Print help]' \
'--help[Print help]' \
&& ret=0
;;
(fleet)
_arguments "${_arguments_options[@]}" : \
'--hub=[Address of the hub \[env\: SWAPCALL_HUB\] \[default\: http\://127.0.0.1\:7979\]]:URL:_default' \
'(--token-file)--token=[The token; better kept in a file or in the environment \[env\: SWAPCALL_TOKEN\]]:TOKEN:_default' \
'--token-file=[A file that holds the token \[env\: SWAPCALL_TOKEN_FILE\]]:FILE:_files' \
'--hub-fingerprint=[Take exactly the certificate with this fingerprint, as the hub prints it \[env\: SWAPCALL_HUB_FINGERPRINT\]]:SHA256:…:_default' \
'(--hub-fingerprint)--hub-ca=[Take certificates signed by the authorities in this PEM file \[env\: SWAPCALL_HUB_CA\] \[default\: the system'\''s\]]:FILE:_files' \
'--spool=[The folder for reports that wait \[env\: SWAPCALL_SPOOL\] \[default\: \$XDG_STATE_HOME/swapcall/spool\]]:DIR:_files' \
'--spool-size=[How large that folder may grow; its oldest reports are thinned, then dropped \[env\: SWAPCALL_SPOOL_SIZE\] \[default\: 64 MiB\]]:SIZE:_default' \
'--config=[Configuration file with hub, hub_fingerprint, hub_ca, token, token_file, spool, spool_size \[default\: \$XDG_CONFIG_HOME/swapcall/config.toml\]]:FILE:_files' \
'--json[Answer in JSON\: one document, or one to a line where there are many]' \
'-h[Print help]' \
'--help[Print help]' \
&& ret=0
;;
(unit)
_arguments "${_arguments_options[@]}" : \
'--hub=[Address of the hub \[env\: SWAPCALL_HUB\] \[default\: http\://127.0.0.1\:7979\]]:URL:_default' \
'(--token-file)--token=[The token; better kept in a file or in the environment \[env\: SWAPCALL_TOKEN\]]:TOKEN:_default' \
'--token-file=[A file that holds the token \[env\: SWAPCALL_TOKEN_FILE\]]:FILE:_files' \
'--hub-fingerprint=[Take exactly the certificate with this fingerprint, as the hub prints it \[env\: SWAPCALL_HUB_FINGERPRINT\]]:SHA256:…:_default' \
'(--hub-fingerprint)--hub-ca=[Take certificates signed by the authorities in this PEM file \[env\: SWAPCALL_HUB_CA\] \[default\: the system'\''s\]]:FILE:_files' \
'--spool=[The folder for reports that wait \[env\: SWAPCALL_SPOOL\] \[default\: \$XDG_STATE_HOME/swapcall/spool\]]:DIR:_files' \
'--spool-size=[How large that folder may grow; its oldest reports are thinned, then dropped \[env\: SWAPCALL_SPOOL_SIZE\] \[default\: 64 MiB\]]:SIZE:_default' \
'--config=[Configuration file with hub, hub_fingerprint, hub_ca, token, token_file, spool, spool_size \[default\: \$XDG_CONFIG_HOME/swapcall/config.toml\]]:FILE:_files' \
'--json[Answer in JSON\: one document, or one to a line where there are many]' \
'-h[Print help]' \
'--help[Print help]' \
':unit -- Callsign:_default' \
&& ret=0
;;
(packs)
_arguments "${_arguments_options[@]}" : \
'--from=[Register all that stand in this table (CSV); - is standard input]:FILE:_files' \
'--hub=[Address of the hub \[env\: SWAPCALL_HUB\] \[default\: http\://127.0.0.1\:7979\]]:URL:_default' \
'(--token-file)--token=[The token; better kept in a file or in the environment \[env\: SWAPCALL_TOKEN\]]:TOKEN:_default' \
'--token-file=[A file that holds the token \[env\: SWAPCALL_TOKEN_FILE\]]:FILE:_files' \
'--hub-fingerprint=[Take exactly the certificate with this fingerprint, as the hub prints it \[env\: SWAPCALL_HUB_FINGERPRINT\]]:SHA256:…:_default' \
'(--hub-fingerprint)--hub-ca=[Take certificates signed by the authorities in this PEM file \[env\: SWAPCALL_HUB_CA\] \[default\: the system'\''s\]]:FILE:_files' \
'--spool=[The folder for reports that wait \[env\: SWAPCALL_SPOOL\] \[default\: \$XDG_STATE_HOME/swapcall/spool\]]:DIR:_files' \
'--spool-size=[How large that folder may grow; its oldest reports are thinned, then dropped \[env\: SWAPCALL_SPOOL_SIZE\] \[default\: 64 MiB\]]:SIZE:_default' \
'--config=[Configuration file with hub, hub_fingerprint, hub_ca, token, token_file, spool, spool_size \[default\: \$XDG_CONFIG_HOME/swapcall/config.toml\]]:FILE:_files' \
'--json[Answer in JSON\: one document, or one to a line where there are many]' \
'-h[Print help]' \
'--help[Print help]' \
&& ret=0
;;
(pack)
_arguments "${_arguments_options[@]}" : \
'--wh=[What it holds by its label, in watt-hours]:WH:_default' \
'--percent=[How full it is]:PERCENT:_default' \
'--bay=[In this bay of a charger]:BAY:_default' \
'--unit=[On this unit]:CALLSIGN:_default' \
'--hub=[Address of the hub \[env\: SWAPCALL_HUB\] \[default\: http\://127.0.0.1\:7979\]]:URL:_default' \
'(--token-file)--token=[The token; better kept in a file or in the environment \[env\: SWAPCALL_TOKEN\]]:TOKEN:_default' \
'--token-file=[A file that holds the token \[env\: SWAPCALL_TOKEN_FILE\]]:FILE:_files' \
'--hub-fingerprint=[Take exactly the certificate with this fingerprint, as the hub prints it \[env\: SWAPCALL_HUB_FINGERPRINT\]]:SHA256:…:_default' \
'(--hub-fingerprint)--hub-ca=[Take certificates signed by the authorities in this PEM file \[env\: SWAPCALL_HUB_CA\] \[default\: the system'\''s\]]:FILE:_files' \
'--spool=[The folder for reports that wait \[env\: SWAPCALL_SPOOL\] \[default\: \$XDG_STATE_HOME/swapcall/spool\]]:DIR:_files' \
'--spool-size=[How large that folder may grow; its oldest reports are thinned, then dropped \[env\: SWAPCALL_SPOOL_SIZE\] \[default\: 64 MiB\]]:SIZE:_default' \
'--config=[Configuration file with hub, hub_fingerprint, hub_ca, token, token_file, spool, spool_size \[default\: \$XDG_CONFIG_HOME/swapcall/config.toml\]]:FILE:_files' \
'--ready[Charged, where runners fetch packs]' \
'--spent[Taken off, waiting for a bay]' \
'--out[Not to be used\: swollen, dropped, lost]' \
'--json[Answer in JSON\: one document, or one to a line where there are many]' \
'-h[Print help]' \
'--help[Print help]' \
':label -- Label of the pack, as typed or scanned:_default' \
&& ret=0
;;
(bays)
_arguments "${_arguments_options[@]}" : \
'--hub=[Address of the hub \[env\: SWAPCALL_HUB\] \[default\: http\://127.0.0.1\:7979\]]:URL:_default' \
'(--token-file)--token=[The token; better kept in a file or in the environment \[env\: SWAPCALL_TOKEN\]]:TOKEN:_default' \
'--token-file=[A file that holds the token \[env\: SWAPCALL_TOKEN_FILE\]]:FILE:_files' \
'--hub-fingerprint=[Take exactly the certificate with this fingerprint, as the hub prints it \[env\: SWAPCALL_HUB_FINGERPRINT\]]:SHA256:…:_default' \
'(--hub-fingerprint)--hub-ca=[Take certificates signed by the authorities in this PEM file \[env\: SWAPCALL_HUB_CA\] \[default\: the system'\''s\]]:FILE:_files' \
'--spool=[The folder for reports that wait \[env\: SWAPCALL_SPOOL\] \[default\: \$XDG_STATE_HOME/swapcall/spool\]]:DIR:_files' \
'--spool-size=[How large that folder may grow; its oldest reports are thinned, then dropped \[env\: SWAPCALL_SPOOL_SIZE\] \[default\: 64 MiB\]]:SIZE:_default' \
'--config=[Configuration file with hub, hub_fingerprint, hub_ca, token, token_file, spool, spool_size \[default\: \$XDG_CONFIG_HOME/swapcall/config.toml\]]:FILE:_files' \
'--json[Answer in JSON\: one document, or one to a line where there are many]' \
'-h[Print help]' \
'--help[Print help]' \
&& ret=0
;;
(bay)
_arguments "${_arguments_options[@]}" : \
'--pack=[The pack that is in it from now on]:LABEL:_default' \
'--percent=[How full the pack in it is]:PERCENT:_default' \
'--hub=[Address of the hub \[env\: SWAPCALL_HUB\] \[default\: http\://127.0.0.1\:7979\]]:URL:_default' \
'(--token-file)--token=[The token; better kept in a file or in the environment \[env\: SWAPCALL_TOKEN\]]:TOKEN:_default' \
'--token-file=[A file that holds the token \[env\: SWAPCALL_TOKEN_FILE\]]:FILE:_files' \
'--hub-fingerprint=[Take exactly the certificate with this fingerprint, as the hub prints it \[env\: SWAPCALL_HUB_FINGERPRINT\]]:SHA256:…:_default' \
'(--hub-fingerprint)--hub-ca=[Take certificates signed by the authorities in this PEM file \[env\: SWAPCALL_HUB_CA\] \[default\: the system'\''s\]]:FILE:_files' \
'--spool=[The folder for reports that wait \[env\: SWAPCALL_SPOOL\] \[default\: \$XDG_STATE_HOME/swapcall/spool\]]:DIR:_files' \
'--spool-size=[How large that folder may grow; its oldest reports are thinned, then dropped \[env\: SWAPCALL_SPOOL_SIZE\] \[default\: 64 MiB\]]:SIZE:_default' \
'--config=[Configuration file with hub, hub_fingerprint, hub_ca, token, token_file, spool, spool_size \[default\: \$XDG_CONFIG_HOME/swapcall/config.toml\]]:FILE:_files' \
'(--pack)--empty[Its pack has come out]' \
'--json[Answer in JSON\: one document, or one to a line where there are many]' \
'-h[Print help]' \
'--help[Print help]' \
':bay -- Label of the bay:_default' \
&& ret=0
;;
(rotation)
_arguments "${_arguments_options[@]}" : \
'--hours=[How far to look, 0.5 to 24]:N:_default' \
'--bays=[Charger bays that are there; those that are known, when left out]:N:_default' \
'--hub=[Address of the hub \[env\: SWAPCALL_HUB\] \[default\: http\://127.0.0.1\:7979\]]:URL:_default' \
'(--token-file)--token=[The token; better kept in a file or in the environment \[env\: SWAPCALL_TOKEN\]]:TOKEN:_default' \
'--token-file=[A file that holds the token \[env\: SWAPCALL_TOKEN_FILE\]]:FILE:_files' \
'--hub-fingerprint=[Take exactly the certificate with this fingerprint, as the hub prints it \[env\: SWAPCALL_HUB_FINGERPRINT\]]:SHA256:…:_default' \
'(--hub-fingerprint)--hub-ca=[Take certificates signed by the authorities in this PEM file \[env\: SWAPCALL_HUB_CA\] \[default\: the system'\''s\]]:FILE:_files' \
'--spool=[The folder for reports that wait \[env\: SWAPCALL_SPOOL\] \[default\: \$XDG_STATE_HOME/swapcall/spool\]]:DIR:_files' \
'--spool-size=[How large that folder may grow; its oldest reports are thinned, then dropped \[env\: SWAPCALL_SPOOL_SIZE\] \[default\: 64 MiB\]]:SIZE:_default' \
'--config=[Configuration file with hub, hub_fingerprint, hub_ca, token, token_file, spool, spool_size \[default\: \$XDG_CONFIG_HOME/swapcall/config.toml\]]:FILE:_files' \
'--json[Answer in JSON\: one document, or one to a line where there are many]' \
'-h[Print help]' \
'--help[Print help]' \
&& ret=0
;;
(cards)
_arguments "${_arguments_options[@]}" : \
'--from=[Register all that stand in this table (CSV); - is standard input]:FILE:_files' \
'--hub=[Address of the hub \[env\: SWAPCALL_HUB\] \[default\: http\://127.0.0.1\:7979\]]:URL:_default' \
'(--token-file)--token=[The token; better kept in a file or in the environment \[env\: SWAPCALL_TOKEN\]]:TOKEN:_default' \
'--token-file=[A file that holds the token \[env\: SWAPCALL_TOKEN_FILE\]]:FILE:_files' \
'--hub-fingerprint=[Take exactly the certificate with this fingerprint, as the hub prints it \[env\: SWAPCALL_HUB_FINGERPRINT\]]:SHA256:…:_default' \
'(--hub-fingerprint)--hub-ca=[Take certificates signed by the authorities in this PEM file \[env\: SWAPCALL_HUB_CA\] \[default\: the system'\''s\]]:FILE:_files' \
'--spool=[The folder for reports that wait \[env\: SWAPCALL_SPOOL\] \[default\: \$XDG_STATE_HOME/swapcall/spool\]]:DIR:_files' \
'--spool-size=[How large that folder may grow; its oldest reports are thinned, then dropped \[env\: SWAPCALL_SPOOL_SIZE\] \[default\: 64 MiB\]]:SIZE:_default' \
'--config=[Configuration file with hub, hub_fingerprint, hub_ca, token, token_file, spool, spool_size \[default\: \$XDG_CONFIG_HOME/swapcall/config.toml\]]:FILE:_files' \
'--json[Answer in JSON\: one document, or one to a line where there are many]' \
'-h[Print help]' \
'--help[Print help]' \
&& ret=0
;;
(card)
_arguments "${_arguments_options[@]}" : \
'--capacity=[Its size, such as 128GB]:SIZE:_default' \
'--in=[In this slot of a unit]:CALLSIGN:SLOT:_default' \
'--hub=[Address of the hub \[env\: SWAPCALL_HUB\] \[default\: http\://127.0.0.1\:7979\]]:URL:_default' \
'(--token-file)--token=[The token; better kept in a file or in the environment \[env\: SWAPCALL_TOKEN\]]:TOKEN:_default' \
'--token-file=[A file that holds the token \[env\: SWAPCALL_TOKEN_FILE\]]:FILE:_files' \
'--hub-fingerprint=[Take exactly the certificate with this fingerprint, as the hub prints it \[env\: SWAPCALL_HUB_FINGERPRINT\]]:SHA256:…:_default' \
'(--hub-fingerprint)--hub-ca=[Take certificates signed by the authorities in this PEM file \[env\: SWAPCALL_HUB_CA\] \[default\: the system'\''s\]]:FILE:_files' \
'--spool=[The folder for reports that wait \[env\: SWAPCALL_SPOOL\] \[default\: \$XDG_STATE_HOME/swapcall/spool\]]:DIR:_files' \
'--spool-size=[How large that folder may grow; its oldest reports are thinned, then dropped \[env\: SWAPCALL_SPOOL_SIZE\] \[default\: 64 MiB\]]:SIZE:_default' \
'--config=[Configuration file with hub, hub_fingerprint, hub_ca, token, token_file, spool, spool_size \[default\: \$XDG_CONFIG_HOME/swapcall/config.toml\]]:FILE:_files' \
'--blank[Nothing on it that anybody wants]' \
'--holding[Out of the camera, with footage that is nowhere else]' \
'--copying[Being copied]' \
'--safe[Copied as often as wanted, and each copy verified]' \
'--out[Not to be used]' \
'(--holding --copying --safe --out --in)--despite-footage[Let go of footage that is not safe\: with --blank]' \
'--json[Answer in JSON\: one document, or one to a line where there are many]' \
'-h[Print help]' \
'--help[Print help]' \
':label -- Label of the card:_default' \
&& ret=0
;;
(kit)
_arguments "${_arguments_options[@]}" : \
'--hub=[Address of the hub \[env\: SWAPCALL_HUB\] \[default\: http\://127.0.0.1\:7979\]]:URL:_default' \
'(--token-file)--token=[The token; better kept in a file or in the environment \[env\: SWAPCALL_TOKEN\]]:TOKEN:_default' \
'--token-file=[A file that holds the token \[env\: SWAPCALL_TOKEN_FILE\]]:FILE:_files' \
'--hub-fingerprint=[Take exactly the certificate with this fingerprint, as the hub prints it \[env\: SWAPCALL_HUB_FINGERPRINT\]]:SHA256:…:_default' \
'(--hub-fingerprint)--hub-ca=[Take certificates signed by the authorities in this PEM file \[env\: SWAPCALL_HUB_CA\] \[default\: the system'\''s\]]:FILE:_files' \
'--spool=[The folder for reports that wait \[env\: SWAPCALL_SPOOL\] \[default\: \$XDG_STATE_HOME/swapcall/spool\]]:DIR:_files' \
'--spool-size=[How large that folder may grow; its oldest reports are thinned, then dropped \[env\: SWAPCALL_SPOOL_SIZE\] \[default\: 64 MiB\]]:SIZE:_default' \
'--config=[Configuration file with hub, hub_fingerprint, hub_ca, token, token_file, spool, spool_size \[default\: \$XDG_CONFIG_HOME/swapcall/config.toml\]]:FILE:_files' \
'()--example[Print a file to begin with]' \
'--json[Answer in JSON\: one document, or one to a line where there are many]' \
'-h[Print help]' \
'--help[Print help]' \
'::file -- TOML file with the show and what there is for it, or - for standard input:_files' \
&& ret=0
;;
(offload)
_arguments "${_arguments_options[@]}" : \
'--card=[Label of the card\: the hub is told that it is being copied, and what came of it]:LABEL:_default' \
'--copies=[How many copies have to be proved before the card is safe]:N:_default' \
'*--hash=[How to hash; several with commas]:NAME:((c4\:"C4 ID (SMPTE ST 2114), made of SHA-512"
md5\:"MD5 (RFC 1321)"
sha1\:"SHA-1 (FIPS 180-4)"
xxh128\:"XXH3 with 128 bits"
xxh3\:"XXH3 with 64 bits"
xxh64\:"XXH64"
sha256\:"SHA-256 (FIPS 180-4); not part of ASC MHL, so XXH64 is taken as well"))' \
'--hub=[Address of the hub \[env\: SWAPCALL_HUB\] \[default\: http\://127.0.0.1\:7979\]]:URL:_default' \
'(--token-file)--token=[The token; better kept in a file or in the environment \[env\: SWAPCALL_TOKEN\]]:TOKEN:_default' \
'--token-file=[A file that holds the token \[env\: SWAPCALL_TOKEN_FILE\]]:FILE:_files' \
'--hub-fingerprint=[Take exactly the certificate with this fingerprint, as the hub prints it \[env\: SWAPCALL_HUB_FINGERPRINT\]]:SHA256:…:_default' \
'(--hub-fingerprint)--hub-ca=[Take certificates signed by the authorities in this PEM file \[env\: SWAPCALL_HUB_CA\] \[default\: the system'\''s\]]:FILE:_files' \
'--spool=[The folder for reports that wait \[env\: SWAPCALL_SPOOL\] \[default\: \$XDG_STATE_HOME/swapcall/spool\]]:DIR:_files' \
'--spool-size=[How large that folder may grow; its oldest reports are thinned, then dropped \[env\: SWAPCALL_SPOOL_SIZE\] \[default\: 64 MiB\]]:SIZE:_default' \
'--config=[Configuration file with hub, hub_fingerprint, hub_ca, token, token_file, spool, spool_size \[default\: \$XDG_CONFIG_HOME/swapcall/config.toml\]]:FILE:_files' \
'--json[Answer in JSON\: one document, or one to a line where there are many]' \
'-h[Print help (see more with '\''--help'\'')]' \
'--help[Print help (see more with '\''--help'\'')]' \
':folder -- The folder of the card:_files' \
'*::places -- Where the copies go, each on a disk of its own; only the last folder of a path is made:_files' \
&& ret=0
;;
(history)
_arguments "${_arguments_options[@]}" : \
'--from=[Start\: a time (RFC 3339), or how long ago (2h)]:FROM:_default' \
'--to=[End\: a time (RFC 3339), or how long ago]:TO:_default' \
'--step=[Seconds per point; every reading when left out]:STEP:_default' \
'--hub=[Address of the hub \[env\: SWAPCALL_HUB\] \[default\: http\://127.0.0.1\:7979\]]:URL:_default' \
'(--token-file)--token=[The token; better kept in a file or in the environment \[env\: SWAPCALL_TOKEN\]]:TOKEN:_default' \
'--token-file=[A file that holds the token \[env\: SWAPCALL_TOKEN_FILE\]]:FILE:_files' \
'--hub-fingerprint=[Take exactly the certificate with this fingerprint, as the hub prints it \[env\: SWAPCALL_HUB_FINGERPRINT\]]:SHA256:…:_default' \
'(--hub-fingerprint)--hub-ca=[Take certificates signed by the authorities in this PEM file \[env\: SWAPCALL_HUB_CA\] \[default\: the system'\''s\]]:FILE:_files' \
'--spool=[The folder for reports that wait \[env\: SWAPCALL_SPOOL\] \[default\: \$XDG_STATE_HOME/swapcall/spool\]]:DIR:_files' \
'--spool-size=[How large that folder may grow; its oldest reports are thinned, then dropped \[env\: SWAPCALL_SPOOL_SIZE\] \[default\: 64 MiB\]]:SIZE:_default' \
'--config=[Configuration file with hub, hub_fingerprint, hub_ca, token, token_file, spool, spool_size \[default\: \$XDG_CONFIG_HOME/swapcall/config.toml\]]:FILE:_files' \
'--json[Answer in JSON\: one document, or one to a line where there are many]' \
'-h[Print help]' \
'--help[Print help]' \
':unit -- Callsign:_default' \
&& ret=0
;;
(forecasts)
_arguments "${_arguments_options[@]}" : \
'--from=[Start\: a time (RFC 3339), or how long ago (2h)]:FROM:_default' \
'--to=[End\: a time (RFC 3339), or how long ago]:TO:_default' \
'--hub=[Address of the hub \[env\: SWAPCALL_HUB\] \[default\: http\://127.0.0.1\:7979\]]:URL:_default' \
'(--token-file)--token=[The token; better kept in a file or in the environment \[env\: SWAPCALL_TOKEN\]]:TOKEN:_default' \
'--token-file=[A file that holds the token \[env\: SWAPCALL_TOKEN_FILE\]]:FILE:_files' \
'--hub-fingerprint=[Take exactly the certificate with this fingerprint, as the hub prints it \[env\: SWAPCALL_HUB_FINGERPRINT\]]:SHA256:…:_default' \
'(--hub-fingerprint)--hub-ca=[Take certificates signed by the authorities in this PEM file \[env\: SWAPCALL_HUB_CA\] \[default\: the system'\''s\]]:FILE:_files' \
'--spool=[The folder for reports that wait \[env\: SWAPCALL_SPOOL\] \[default\: \$XDG_STATE_HOME/swapcall/spool\]]:DIR:_files' \
'--spool-size=[How large that folder may grow; its oldest reports are thinned, then dropped \[env\: SWAPCALL_SPOOL_SIZE\] \[default\: 64 MiB\]]:SIZE:_default' \
'--config=[Configuration file with hub, hub_fingerprint, hub_ca, token, token_file, spool, spool_size \[default\: \$XDG_CONFIG_HOME/swapcall/config.toml\]]:FILE:_files' \
'--json[Answer in JSON\: one document, or one to a line where there are many]' \
'-h[Print help]' \
'--help[Print help]' \
':unit -- Callsign:_default' \
&& ret=0
;;
(put-unit)
_arguments "${_arguments_options[@]}" : \
'--position=[Where it stands]:POSITION:_default' \
'--group=[Coverage group]:GROUP:_default' \
'--walk-s=[Seconds to walk from base]:WALK_S:_default' \
'--gauge=[How the gauge works]:GAUGE:((coulomb\:"Counts charge"
voltage\:"Looks the percent up from the voltage"))' \
'--gauge-step=[The gauge'\''s resolution in percent]:GAUGE_STEP:_default' \
'--pack-wh=[Energy of the usual pack in watt-hours]:PACK_WH:_default' \
'--recording-w=[Power drawn while recording in watts]:RECORDING_W:_default' \
'--standby-w=[Power drawn in standby in watts]:STANDBY_W:_default' \
'--bit-rate=[Usual bit rate in Mb/s]:BIT_RATE:_default' \
'--interval-s=[Seconds between reports]:INTERVAL_S:_default' \
'--display=[Display that carries its tally, as the vision mixer counts\: INDEX, or SCREEN\:INDEX]:[SCREEN:]INDEX:_default' \
'--hub=[Address of the hub \[env\: SWAPCALL_HUB\] \[default\: http\://127.0.0.1\:7979\]]:URL:_default' \
'(--token-file)--token=[The token; better kept in a file or in the environment \[env\: SWAPCALL_TOKEN\]]:TOKEN:_default' \
'--token-file=[A file that holds the token \[env\: SWAPCALL_TOKEN_FILE\]]:FILE:_files' \
'--hub-fingerprint=[Take exactly the certificate with this fingerprint, as the hub prints it \[env\: SWAPCALL_HUB_FINGERPRINT\]]:SHA256:…:_default' \
'(--hub-fingerprint)--hub-ca=[Take certificates signed by the authorities in this PEM file \[env\: SWAPCALL_HUB_CA\] \[default\: the system'\''s\]]:FILE:_files' \
'--spool=[The folder for reports that wait \[env\: SWAPCALL_SPOOL\] \[default\: \$XDG_STATE_HOME/swapcall/spool\]]:DIR:_files' \
'--spool-size=[How large that folder may grow; its oldest reports are thinned, then dropped \[env\: SWAPCALL_SPOOL_SIZE\] \[default\: 64 MiB\]]:SIZE:_default' \
'--config=[Configuration file with hub, hub_fingerprint, hub_ca, token, token_file, spool, spool_size \[default\: \$XDG_CONFIG_HOME/swapcall/config.toml\]]:FILE:_files' \
'--replace[Forget what is not named here]' \
'--json[Answer in JSON\: one document, or one to a line where there are many]' \
'-h[Print help (see more with '\''--help'\'')]' \
'--help[Print help (see more with '\''--help'\'')]' \
':unit -- Callsign:_default' \
&& ret=0
;;
(limits)
_arguments "${_arguments_options[@]}" : \
'--hub=[Address of the hub \[env\: SWAPCALL_HUB\] \[default\: http\://127.0.0.1\:7979\]]:URL:_default' \
'(--token-file)--token=[The token; better kept in a file or in the environment \[env\: SWAPCALL_TOKEN\]]:TOKEN:_default' \
'--token-file=[A file that holds the token \[env\: SWAPCALL_TOKEN_FILE\]]:FILE:_files' \
'--hub-fingerprint=[Take exactly the certificate with this fingerprint, as the hub prints it \[env\: SWAPCALL_HUB_FINGERPRINT\]]:SHA256:…:_default' \
'(--hub-fingerprint)--hub-ca=[Take certificates signed by the authorities in this PEM file \[env\: SWAPCALL_HUB_CA\] \[default\: the system'\''s\]]:FILE:_files' \
'--spool=[The folder for reports that wait \[env\: SWAPCALL_SPOOL\] \[default\: \$XDG_STATE_HOME/swapcall/spool\]]:DIR:_files' \
'--spool-size=[How large that folder may grow; its oldest reports are thinned, then dropped \[env\: SWAPCALL_SPOOL_SIZE\] \[default\: 64 MiB\]]:SIZE:_default' \
'--config=[Configuration file with hub, hub_fingerprint, hub_ca, token, token_file, spool, spool_size \[default\: \$XDG_CONFIG_HOME/swapcall/config.toml\]]:FILE:_files' \
'--json[Answer in JSON\: one document, or one to a line where there are many]' \
'-h[Print help]' \
'--help[Print help]' \
":: :_swapcall__subcmd__limits_commands" \
"*::: :->limits" \
&& ret=0

    case $state in
    (limits)
        words=($line[1] "${words[@]}")
        (( CURRENT += 1 ))
        curcontext="${curcontext%:*:*}:swapcall-limits-command-$line[1]:"
        case $line[1] in
            (set)
_arguments "${_arguments_options[@]}" : \
'--hub=[Address of the hub \[env\: SWAPCALL_HUB\] \[default\: http\://127.0.0.1\:7979\]]:URL:_default' \
'(--token-file)--token=[The token; better kept in a file or in the environment \[env\: SWAPCALL_TOKEN\]]:TOKEN:_default' \
'--token-file=[A file that holds the token \[env\: SWAPCALL_TOKEN_FILE\]]:FILE:_files' \
'--hub-fingerprint=[Take exactly the certificate with this fingerprint, as the hub prints it \[env\: SWAPCALL_HUB_FINGERPRINT\]]:SHA256:…:_default' \
'(--hub-fingerprint)--hub-ca=[Take certificates signed by the authorities in this PEM file \[env\: SWAPCALL_HUB_CA\] \[default\: the system'\''s\]]:FILE:_files' \
'--spool=[The folder for reports that wait \[env\: SWAPCALL_SPOOL\] \[default\: \$XDG_STATE_HOME/swapcall/spool\]]:DIR:_files' \
'--spool-size=[How large that folder may grow; its oldest reports are thinned, then dropped \[env\: SWAPCALL_SPOOL_SIZE\] \[default\: 64 MiB\]]:SIZE:_default' \
'--config=[Configuration file with hub, hub_fingerprint, hub_ca, token, token_file, spool, spool_size \[default\: \$XDG_CONFIG_HOME/swapcall/config.toml\]]:FILE:_files' \
'--json[Answer in JSON\: one document, or one to a line where there are many]' \
'-h[Print help]' \
'--help[Print help]' \
':file -- JSON file, or - for standard input:_files' \
&& ret=0
;;
(help)
_arguments "${_arguments_options[@]}" : \
":: :_swapcall__subcmd__limits__subcmd__help_commands" \
"*::: :->help" \
&& ret=0

    case $state in
    (help)
        words=($line[1] "${words[@]}")
        (( CURRENT += 1 ))
        curcontext="${curcontext%:*:*}:swapcall-limits-help-command-$line[1]:"
        case $line[1] in
            (set)
_arguments "${_arguments_options[@]}" : \
&& ret=0
;;
(help)
_arguments "${_arguments_options[@]}" : \
&& ret=0
;;
        esac
    ;;
esac
;;
        esac
    ;;
esac
;;
(rundown)
_arguments "${_arguments_options[@]}" : \
'--hub=[Address of the hub \[env\: SWAPCALL_HUB\] \[default\: http\://127.0.0.1\:7979\]]:URL:_default' \
'(--token-file)--token=[The token; better kept in a file or in the environment \[env\: SWAPCALL_TOKEN\]]:TOKEN:_default' \
'--token-file=[A file that holds the token \[env\: SWAPCALL_TOKEN_FILE\]]:FILE:_files' \
'--hub-fingerprint=[Take exactly the certificate with this fingerprint, as the hub prints it \[env\: SWAPCALL_HUB_FINGERPRINT\]]:SHA256:…:_default' \
'(--hub-fingerprint)--hub-ca=[Take certificates signed by the authorities in this PEM file \[env\: SWAPCALL_HUB_CA\] \[default\: the system'\''s\]]:FILE:_files' \
'--spool=[The folder for reports that wait \[env\: SWAPCALL_SPOOL\] \[default\: \$XDG_STATE_HOME/swapcall/spool\]]:DIR:_files' \
'--spool-size=[How large that folder may grow; its oldest reports are thinned, then dropped \[env\: SWAPCALL_SPOOL_SIZE\] \[default\: 64 MiB\]]:SIZE:_default' \
'--config=[Configuration file with hub, hub_fingerprint, hub_ca, token, token_file, spool, spool_size \[default\: \$XDG_CONFIG_HOME/swapcall/config.toml\]]:FILE:_files' \
'--json[Answer in JSON\: one document, or one to a line where there are many]' \
'-h[Print help]' \
'--help[Print help]' \
":: :_swapcall__subcmd__rundown_commands" \
"*::: :->rundown" \
&& ret=0

    case $state in
    (rundown)
        words=($line[1] "${words[@]}")
        (( CURRENT += 1 ))
        curcontext="${curcontext%:*:*}:swapcall-rundown-command-$line[1]:"
        case $line[1] in
            (show)
_arguments "${_arguments_options[@]}" : \
'--hub=[Address of the hub \[env\: SWAPCALL_HUB\] \[default\: http\://127.0.0.1\:7979\]]:URL:_default' \
'(--token-file)--token=[The token; better kept in a file or in the environment \[env\: SWAPCALL_TOKEN\]]:TOKEN:_default' \
'--token-file=[A file that holds the token \[env\: SWAPCALL_TOKEN_FILE\]]:FILE:_files' \
'--hub-fingerprint=[Take exactly the certificate with this fingerprint, as the hub prints it \[env\: SWAPCALL_HUB_FINGERPRINT\]]:SHA256:…:_default' \
'(--hub-fingerprint)--hub-ca=[Take certificates signed by the authorities in this PEM file \[env\: SWAPCALL_HUB_CA\] \[default\: the system'\''s\]]:FILE:_files' \
'--spool=[The folder for reports that wait \[env\: SWAPCALL_SPOOL\] \[default\: \$XDG_STATE_HOME/swapcall/spool\]]:DIR:_files' \
'--spool-size=[How large that folder may grow; its oldest reports are thinned, then dropped \[env\: SWAPCALL_SPOOL_SIZE\] \[default\: 64 MiB\]]:SIZE:_default' \
'--config=[Configuration file with hub, hub_fingerprint, hub_ca, token, token_file, spool, spool_size \[default\: \$XDG_CONFIG_HOME/swapcall/config.toml\]]:FILE:_files' \
'--json[Answer in JSON\: one document, or one to a line where there are many]' \
'-h[Print help]' \
'--help[Print help]' \
&& ret=0
;;
(set)
_arguments "${_arguments_options[@]}" : \
'--hub=[Address of the hub \[env\: SWAPCALL_HUB\] \[default\: http\://127.0.0.1\:7979\]]:URL:_default' \
'(--token-file)--token=[The token; better kept in a file or in the environment \[env\: SWAPCALL_TOKEN\]]:TOKEN:_default' \
'--token-file=[A file that holds the token \[env\: SWAPCALL_TOKEN_FILE\]]:FILE:_files' \
'--hub-fingerprint=[Take exactly the certificate with this fingerprint, as the hub prints it \[env\: SWAPCALL_HUB_FINGERPRINT\]]:SHA256:…:_default' \
'(--hub-fingerprint)--hub-ca=[Take certificates signed by the authorities in this PEM file \[env\: SWAPCALL_HUB_CA\] \[default\: the system'\''s\]]:FILE:_files' \
'--spool=[The folder for reports that wait \[env\: SWAPCALL_SPOOL\] \[default\: \$XDG_STATE_HOME/swapcall/spool\]]:DIR:_files' \
'--spool-size=[How large that folder may grow; its oldest reports are thinned, then dropped \[env\: SWAPCALL_SPOOL_SIZE\] \[default\: 64 MiB\]]:SIZE:_default' \
'--config=[Configuration file with hub, hub_fingerprint, hub_ca, token, token_file, spool, spool_size \[default\: \$XDG_CONFIG_HOME/swapcall/config.toml\]]:FILE:_files' \
'--force[Replace the rundown even if somebody else changed it since the file was read]' \
'--json[Answer in JSON\: one document, or one to a line where there are many]' \
'-h[Print help]' \
'--help[Print help]' \
':file -- JSON file, or - for standard input:_files' \
&& ret=0
;;
(help)
_arguments "${_arguments_options[@]}" : \
":: :_swapcall__subcmd__rundown__subcmd__help_commands" \
"*::: :->help" \
&& ret=0

    case $state in
    (help)
        words=($line[1] "${words[@]}")
        (( CURRENT += 1 ))
        curcontext="${curcontext%:*:*}:swapcall-rundown-help-command-$line[1]:"
        case $line[1] in
            (show)
_arguments "${_arguments_options[@]}" : \
&& ret=0
;;
(set)
_arguments "${_arguments_options[@]}" : \
&& ret=0
;;
(help)
_arguments "${_arguments_options[@]}" : \
&& ret=0
;;
        esac
    ;;
esac
;;
        esac
    ;;
esac
;;
(replay)
_arguments "${_arguments_options[@]}" : \
'--unit=[Callsign to report for; needed for CSV]:UNIT:_default' \
'--gauge=[The gauge'\''s column]:GAUGE:_default' \
'--speed=[How fast\: a factor, or max]:SPEED:_default' \
'--pack=[Label of the pack]:PACK:_default' \
'--step=[The gauge'\''s resolution, where the column'\''s name does not say]:STEP:_default' \
'--hub=[Address of the hub \[env\: SWAPCALL_HUB\] \[default\: http\://127.0.0.1\:7979\]]:URL:_default' \
'(--token-file)--token=[The token; better kept in a file or in the environment \[env\: SWAPCALL_TOKEN\]]:TOKEN:_default' \
'--token-file=[A file that holds the token \[env\: SWAPCALL_TOKEN_FILE\]]:FILE:_files' \
'--hub-fingerprint=[Take exactly the certificate with this fingerprint, as the hub prints it \[env\: SWAPCALL_HUB_FINGERPRINT\]]:SHA256:…:_default' \
'(--hub-fingerprint)--hub-ca=[Take certificates signed by the authorities in this PEM file \[env\: SWAPCALL_HUB_CA\] \[default\: the system'\''s\]]:FILE:_files' \
'--spool=[The folder for reports that wait \[env\: SWAPCALL_SPOOL\] \[default\: \$XDG_STATE_HOME/swapcall/spool\]]:DIR:_files' \
'--spool-size=[How large that folder may grow; its oldest reports are thinned, then dropped \[env\: SWAPCALL_SPOOL_SIZE\] \[default\: 64 MiB\]]:SIZE:_default' \
'--config=[Configuration file with hub, hub_fingerprint, hub_ca, token, token_file, spool, spool_size \[default\: \$XDG_CONFIG_HOME/swapcall/config.toml\]]:FILE:_files' \
'--json[Answer in JSON\: one document, or one to a line where there are many]' \
'-h[Print help]' \
'--help[Print help]' \
':file -- The log\: CSV with a head line, or JSON lines:_files' \
&& ret=0
;;
(send)
_arguments "${_arguments_options[@]}" : \
'--hub=[Address of the hub \[env\: SWAPCALL_HUB\] \[default\: http\://127.0.0.1\:7979\]]:URL:_default' \
'(--token-file)--token=[The token; better kept in a file or in the environment \[env\: SWAPCALL_TOKEN\]]:TOKEN:_default' \
'--token-file=[A file that holds the token \[env\: SWAPCALL_TOKEN_FILE\]]:FILE:_files' \
'--hub-fingerprint=[Take exactly the certificate with this fingerprint, as the hub prints it \[env\: SWAPCALL_HUB_FINGERPRINT\]]:SHA256:…:_default' \
'(--hub-fingerprint)--hub-ca=[Take certificates signed by the authorities in this PEM file \[env\: SWAPCALL_HUB_CA\] \[default\: the system'\''s\]]:FILE:_files' \
'--spool=[The folder for reports that wait \[env\: SWAPCALL_SPOOL\] \[default\: \$XDG_STATE_HOME/swapcall/spool\]]:DIR:_files' \
'--spool-size=[How large that folder may grow; its oldest reports are thinned, then dropped \[env\: SWAPCALL_SPOOL_SIZE\] \[default\: 64 MiB\]]:SIZE:_default' \
'--config=[Configuration file with hub, hub_fingerprint, hub_ca, token, token_file, spool, spool_size \[default\: \$XDG_CONFIG_HOME/swapcall/config.toml\]]:FILE:_files' \
'--json[Answer in JSON\: one document, or one to a line where there are many]' \
'-h[Print help]' \
'--help[Print help]' \
&& ret=0
;;
(status)
_arguments "${_arguments_options[@]}" : \
'--hub=[Address of the hub \[env\: SWAPCALL_HUB\] \[default\: http\://127.0.0.1\:7979\]]:URL:_default' \
'(--token-file)--token=[The token; better kept in a file or in the environment \[env\: SWAPCALL_TOKEN\]]:TOKEN:_default' \
'--token-file=[A file that holds the token \[env\: SWAPCALL_TOKEN_FILE\]]:FILE:_files' \
'--hub-fingerprint=[Take exactly the certificate with this fingerprint, as the hub prints it \[env\: SWAPCALL_HUB_FINGERPRINT\]]:SHA256:…:_default' \
'(--hub-fingerprint)--hub-ca=[Take certificates signed by the authorities in this PEM file \[env\: SWAPCALL_HUB_CA\] \[default\: the system'\''s\]]:FILE:_files' \
'--spool=[The folder for reports that wait \[env\: SWAPCALL_SPOOL\] \[default\: \$XDG_STATE_HOME/swapcall/spool\]]:DIR:_files' \
'--spool-size=[How large that folder may grow; its oldest reports are thinned, then dropped \[env\: SWAPCALL_SPOOL_SIZE\] \[default\: 64 MiB\]]:SIZE:_default' \
'--config=[Configuration file with hub, hub_fingerprint, hub_ca, token, token_file, spool, spool_size \[default\: \$XDG_CONFIG_HOME/swapcall/config.toml\]]:FILE:_files' \
'--json[Answer in JSON\: one document, or one to a line where there are many]' \
'-h[Print help]' \
'--help[Print help]' \
&& ret=0
;;
(doctor)
_arguments "${_arguments_options[@]}" : \
'--power-supply=[Read this computer'\''s battery]::PATH:_files' \
'*--mount=[The folder a card is mounted on, A=/media/card or, with its label, A\:C12=/media/card; may be repeated]:SLOT=FOLDER:_default' \
'(--mount)--mounts-under=[Every card that is mounted below a folder, as slots A, B …]:FOLDER:_files' \
'--http=[A device that answers with JSON; the report'\''s own form, unless --http-map says where the values stand]:URL:_default' \
'*--http-map=[Where a value stands, by JSON Pointer\: battery=/power/percent, mode=/rec, A.used_percent=/cards/0/fill; may be repeated]:KEY=POINTER:_default' \
'--ptp=[A camera on the network by PTP/IP\: its battery and its cards]:HOST[:PORT]:_default' \
'--command=[A shell line that prints a report as JSON; its last object is taken]:LINE:_default' \
'--hub=[Address of the hub \[env\: SWAPCALL_HUB\] \[default\: http\://127.0.0.1\:7979\]]:URL:_default' \
'(--token-file)--token=[The token; better kept in a file or in the environment \[env\: SWAPCALL_TOKEN\]]:TOKEN:_default' \
'--token-file=[A file that holds the token \[env\: SWAPCALL_TOKEN_FILE\]]:FILE:_files' \
'--hub-fingerprint=[Take exactly the certificate with this fingerprint, as the hub prints it \[env\: SWAPCALL_HUB_FINGERPRINT\]]:SHA256:…:_default' \
'(--hub-fingerprint)--hub-ca=[Take certificates signed by the authorities in this PEM file \[env\: SWAPCALL_HUB_CA\] \[default\: the system'\''s\]]:FILE:_files' \
'--spool=[The folder for reports that wait \[env\: SWAPCALL_SPOOL\] \[default\: \$XDG_STATE_HOME/swapcall/spool\]]:DIR:_files' \
'--spool-size=[How large that folder may grow; its oldest reports are thinned, then dropped \[env\: SWAPCALL_SPOOL_SIZE\] \[default\: 64 MiB\]]:SIZE:_default' \
'--config=[Configuration file with hub, hub_fingerprint, hub_ca, token, token_file, spool, spool_size \[default\: \$XDG_CONFIG_HOME/swapcall/config.toml\]]:FILE:_files' \
'--json[Answer in JSON\: one document, or one to a line where there are many]' \
'-h[Print help]' \
'--help[Print help]' \
&& ret=0
;;
(man)
_arguments "${_arguments_options[@]}" : \
'()--dir=[Write every page into this folder instead]:DIR:_files' \
'--hub=[Address of the hub \[env\: SWAPCALL_HUB\] \[default\: http\://127.0.0.1\:7979\]]:URL:_default' \
'(--token-file)--token=[The token; better kept in a file or in the environment \[env\: SWAPCALL_TOKEN\]]:TOKEN:_default' \
'--token-file=[A file that holds the token \[env\: SWAPCALL_TOKEN_FILE\]]:FILE:_files' \
'--hub-fingerprint=[Take exactly the certificate with this fingerprint, as the hub prints it \[env\: SWAPCALL_HUB_FINGERPRINT\]]:SHA256:…:_default' \
'(--hub-fingerprint)--hub-ca=[Take certificates signed by the authorities in this PEM file \[env\: SWAPCALL_HUB_CA\] \[default\: the system'\''s\]]:FILE:_files' \
'--spool=[The folder for reports that wait \[env\: SWAPCALL_SPOOL\] \[default\: \$XDG_STATE_HOME/swapcall/spool\]]:DIR:_files' \
'--spool-size=[How large that folder may grow; its oldest reports are thinned, then dropped \[env\: SWAPCALL_SPOOL_SIZE\] \[default\: 64 MiB\]]:SIZE:_default' \
'--config=[Configuration file with hub, hub_fingerprint, hub_ca, token, token_file, spool, spool_size \[default\: \$XDG_CONFIG_HOME/swapcall/config.toml\]]:FILE:_files' \
'--json[Answer in JSON\: one document, or one to a line where there are many]' \
'-h[Print help]' \
'--help[Print help]' \
'*::command -- The command, such as watch, or limits set:_default' \
&& ret=0
;;
(completions)
_arguments "${_arguments_options[@]}" : \
'--hub=[Address of the hub \[env\: SWAPCALL_HUB\] \[default\: http\://127.0.0.1\:7979\]]:URL:_default' \
'(--token-file)--token=[The token; better kept in a file or in the environment \[env\: SWAPCALL_TOKEN\]]:TOKEN:_default' \
'--token-file=[A file that holds the token \[env\: SWAPCALL_TOKEN_FILE\]]:FILE:_files' \
'--hub-fingerprint=[Take exactly the certificate with this fingerprint, as the hub prints it \[env\: SWAPCALL_HUB_FINGERPRINT\]]:SHA256:…:_default' \
'(--hub-fingerprint)--hub-ca=[Take certificates signed by the authorities in this PEM file \[env\: SWAPCALL_HUB_CA\] \[default\: the system'\''s\]]:FILE:_files' \
'--spool=[The folder for reports that wait \[env\: SWAPCALL_SPOOL\] \[default\: \$XDG_STATE_HOME/swapcall/spool\]]:DIR:_files' \
'--spool-size=[How large that folder may grow; its oldest reports are thinned, then dropped \[env\: SWAPCALL_SPOOL_SIZE\] \[default\: 64 MiB\]]:SIZE:_default' \
'--config=[Configuration file with hub, hub_fingerprint, hub_ca, token, token_file, spool, spool_size \[default\: \$XDG_CONFIG_HOME/swapcall/config.toml\]]:FILE:_files' \
'--json[Answer in JSON\: one document, or one to a line where there are many]' \
'-h[Print help (see more with '\''--help'\'')]' \
'--help[Print help (see more with '\''--help'\'')]' \
':shell -- The shell:((bash\:"Bourne again"
elvish\:"Elvish"
fish\:"Fish"
powershell\:"\`PowerShell\`"
zsh\:"Z"))' \
&& ret=0
;;
(help)
_arguments "${_arguments_options[@]}" : \
":: :_swapcall__subcmd__help_commands" \
"*::: :->help" \
&& ret=0

    case $state in
    (help)
        words=($line[1] "${words[@]}")
        (( CURRENT += 1 ))
        curcontext="${curcontext%:*:*}:swapcall-help-command-$line[1]:"
        case $line[1] in
            (report)
_arguments "${_arguments_options[@]}" : \
&& ret=0
;;
(watch)
_arguments "${_arguments_options[@]}" : \
&& ret=0
;;
(board)
_arguments "${_arguments_options[@]}" : \
&& ret=0
;;
(calls)
_arguments "${_arguments_options[@]}" : \
&& ret=0
;;
(claim)
_arguments "${_arguments_options[@]}" : \
&& ret=0
;;
(release)
_arguments "${_arguments_options[@]}" : \
&& ret=0
;;
(done)
_arguments "${_arguments_options[@]}" : \
&& ret=0
;;
(undo)
_arguments "${_arguments_options[@]}" : \
&& ret=0
;;
(invite)
_arguments "${_arguments_options[@]}" : \
&& ret=0
;;
(join)
_arguments "${_arguments_options[@]}" : \
&& ret=0
;;
(find)
_arguments "${_arguments_options[@]}" : \
&& ret=0
;;
(fleet)
_arguments "${_arguments_options[@]}" : \
&& ret=0
;;
(unit)
_arguments "${_arguments_options[@]}" : \
&& ret=0
;;
(packs)
_arguments "${_arguments_options[@]}" : \
&& ret=0
;;
(pack)
_arguments "${_arguments_options[@]}" : \
&& ret=0
;;
(bays)
_arguments "${_arguments_options[@]}" : \
&& ret=0
;;
(bay)
_arguments "${_arguments_options[@]}" : \
&& ret=0
;;
(rotation)
_arguments "${_arguments_options[@]}" : \
&& ret=0
;;
(cards)
_arguments "${_arguments_options[@]}" : \
&& ret=0
;;
(card)
_arguments "${_arguments_options[@]}" : \
&& ret=0
;;
(kit)
_arguments "${_arguments_options[@]}" : \
&& ret=0
;;
(offload)
_arguments "${_arguments_options[@]}" : \
&& ret=0
;;
(history)
_arguments "${_arguments_options[@]}" : \
&& ret=0
;;
(forecasts)
_arguments "${_arguments_options[@]}" : \
&& ret=0
;;
(put-unit)
_arguments "${_arguments_options[@]}" : \
&& ret=0
;;
(limits)
_arguments "${_arguments_options[@]}" : \
":: :_swapcall__subcmd__help__subcmd__limits_commands" \
"*::: :->limits" \
&& ret=0

    case $state in
    (limits)
        words=($line[1] "${words[@]}")
        (( CURRENT += 1 ))
        curcontext="${curcontext%:*:*}:swapcall-help-limits-command-$line[1]:"
        case $line[1] in
            (set)
_arguments "${_arguments_options[@]}" : \
&& ret=0
;;
        esac
    ;;
esac
;;
(rundown)
_arguments "${_arguments_options[@]}" : \
":: :_swapcall__subcmd__help__subcmd__rundown_commands" \
"*::: :->rundown" \
&& ret=0

    case $state in
    (rundown)
        words=($line[1] "${words[@]}")
        (( CURRENT += 1 ))
        curcontext="${curcontext%:*:*}:swapcall-help-rundown-command-$line[1]:"
        case $line[1] in
            (show)
_arguments "${_arguments_options[@]}" : \
&& ret=0
;;
(set)
_arguments "${_arguments_options[@]}" : \
&& ret=0
;;
        esac
    ;;
esac
;;
(replay)
_arguments "${_arguments_options[@]}" : \
&& ret=0
;;
(send)
_arguments "${_arguments_options[@]}" : \
&& ret=0
;;
(status)
_arguments "${_arguments_options[@]}" : \
&& ret=0
;;
(doctor)
_arguments "${_arguments_options[@]}" : \
&& ret=0
;;
(man)
_arguments "${_arguments_options[@]}" : \
&& ret=0
;;
(completions)
_arguments "${_arguments_options[@]}" : \
&& ret=0
;;
(help)
_arguments "${_arguments_options[@]}" : \
&& ret=0
;;
        esac
    ;;
esac
;;
        esac
    ;;
esac
}

(( $+functions[_swapcall_commands] )) ||
_swapcall_commands() {
    local commands; commands=(
'report:Report what you read off a unit'\''s display' \
'watch:Report on a period from what this computer can read' \
'board:Show the fleet, live' \
'calls:List the calls' \
'claim:Take a call\: you are on the way' \
'release:Give a call back' \
'done:Say that a call is done' \
'undo:Take back that a call is done, within 30 seconds' \
'invite:Make a code with which somebody comes in, once' \
'join:Come in with a code\: writes the token and the hub'\''s address to the configuration' \
'find:List the hubs that announce themselves on this network' \
'fleet:Show every unit, once' \
'unit:Show one unit' \
'packs:List the packs of the kit\: which are ready, and where the others are' \
'pack:Show a pack and what was learned of it, or say where it is and how full' \
'bays:List the bays of the chargers\: what is in them, and when it is ready' \
'bay:Show a bay, or say what is in it and how full' \
'rotation:Look ahead\: whether the packs last, when they run short, how short, and what would cure it' \
'cards:List the cards of the kit\: which are blank, and where the others are' \
'card:Show a card, or say where it is and what is on it' \
'kit:Say before a show whether the kit lasts, what fails first, and what would mend it' \
'offload:Copy a card to several places, read every copy back, and say whether the card is safe' \
'history:Show a unit'\''s past' \
'forecasts:Show how good a unit'\''s forecasts were\: as they were made, with what then happened' \
'put-unit:Say what is known about a unit before it reports' \
'limits:Show or set lead times, margins and reminder times' \
'rundown:Show or set the running order\: when units roll, are held, or have a break' \
'replay:Post a recorded log, in real or compressed time' \
'send:Send what waits in the spool, now' \
'status:Show what waits in the spool, and whether the hub answers' \
'doctor:Check everything a cart needs\: configuration, hub, token, clock, spool and sources' \
'man:Print the manual, or the page of one command' \
'completions:Print completions for a shell' \
'help:Print this message or the help of the given subcommand(s)' \
    )
    _describe -t commands 'swapcall commands' commands "$@"
}
(( $+functions[_swapcall__subcmd__bay_commands] )) ||
_swapcall__subcmd__bay_commands() {
    local commands; commands=()
    _describe -t commands 'swapcall bay commands' commands "$@"
}
(( $+functions[_swapcall__subcmd__bays_commands] )) ||
_swapcall__subcmd__bays_commands() {
    local commands; commands=()
    _describe -t commands 'swapcall bays commands' commands "$@"
}
(( $+functions[_swapcall__subcmd__board_commands] )) ||
_swapcall__subcmd__board_commands() {
    local commands; commands=()
    _describe -t commands 'swapcall board commands' commands "$@"
}
(( $+functions[_swapcall__subcmd__calls_commands] )) ||
_swapcall__subcmd__calls_commands() {
    local commands; commands=()
    _describe -t commands 'swapcall calls commands' commands "$@"
}
(( $+functions[_swapcall__subcmd__card_commands] )) ||
_swapcall__subcmd__card_commands() {
    local commands; commands=()
    _describe -t commands 'swapcall card commands' commands "$@"
}
(( $+functions[_swapcall__subcmd__cards_commands] )) ||
_swapcall__subcmd__cards_commands() {
    local commands; commands=()
    _describe -t commands 'swapcall cards commands' commands "$@"
}
(( $+functions[_swapcall__subcmd__claim_commands] )) ||
_swapcall__subcmd__claim_commands() {
    local commands; commands=()
    _describe -t commands 'swapcall claim commands' commands "$@"
}
(( $+functions[_swapcall__subcmd__completions_commands] )) ||
_swapcall__subcmd__completions_commands() {
    local commands; commands=()
    _describe -t commands 'swapcall completions commands' commands "$@"
}
(( $+functions[_swapcall__subcmd__doctor_commands] )) ||
_swapcall__subcmd__doctor_commands() {
    local commands; commands=()
    _describe -t commands 'swapcall doctor commands' commands "$@"
}
(( $+functions[_swapcall__subcmd__done_commands] )) ||
_swapcall__subcmd__done_commands() {
    local commands; commands=()
    _describe -t commands 'swapcall done commands' commands "$@"
}
(( $+functions[_swapcall__subcmd__find_commands] )) ||
_swapcall__subcmd__find_commands() {
    local commands; commands=()
    _describe -t commands 'swapcall find commands' commands "$@"
}
(( $+functions[_swapcall__subcmd__fleet_commands] )) ||
_swapcall__subcmd__fleet_commands() {
    local commands; commands=()
    _describe -t commands 'swapcall fleet commands' commands "$@"
}
(( $+functions[_swapcall__subcmd__forecasts_commands] )) ||
_swapcall__subcmd__forecasts_commands() {
    local commands; commands=()
    _describe -t commands 'swapcall forecasts commands' commands "$@"
}
(( $+functions[_swapcall__subcmd__help_commands] )) ||
_swapcall__subcmd__help_commands() {
    local commands; commands=(
'report:Report what you read off a unit'\''s display' \
'watch:Report on a period from what this computer can read' \
'board:Show the fleet, live' \
'calls:List the calls' \
'claim:Take a call\: you are on the way' \
'release:Give a call back' \
'done:Say that a call is done' \
'undo:Take back that a call is done, within 30 seconds' \
'invite:Make a code with which somebody comes in, once' \
'join:Come in with a code\: writes the token and the hub'\''s address to the configuration' \
'find:List the hubs that announce themselves on this network' \
'fleet:Show every unit, once' \
'unit:Show one unit' \
'packs:List the packs of the kit\: which are ready, and where the others are' \
'pack:Show a pack and what was learned of it, or say where it is and how full' \
'bays:List the bays of the chargers\: what is in them, and when it is ready' \
'bay:Show a bay, or say what is in it and how full' \
'rotation:Look ahead\: whether the packs last, when they run short, how short, and what would cure it' \
'cards:List the cards of the kit\: which are blank, and where the others are' \
'card:Show a card, or say where it is and what is on it' \
'kit:Say before a show whether the kit lasts, what fails first, and what would mend it' \
'offload:Copy a card to several places, read every copy back, and say whether the card is safe' \
'history:Show a unit'\''s past' \
'forecasts:Show how good a unit'\''s forecasts were\: as they were made, with what then happened' \
'put-unit:Say what is known about a unit before it reports' \
'limits:Show or set lead times, margins and reminder times' \
'rundown:Show or set the running order\: when units roll, are held, or have a break' \
'replay:Post a recorded log, in real or compressed time' \
'send:Send what waits in the spool, now' \
'status:Show what waits in the spool, and whether the hub answers' \
'doctor:Check everything a cart needs\: configuration, hub, token, clock, spool and sources' \
'man:Print the manual, or the page of one command' \
'completions:Print completions for a shell' \
'help:Print this message or the help of the given subcommand(s)' \
    )
    _describe -t commands 'swapcall help commands' commands "$@"
}
(( $+functions[_swapcall__subcmd__help__subcmd__bay_commands] )) ||
_swapcall__subcmd__help__subcmd__bay_commands() {
    local commands; commands=()
    _describe -t commands 'swapcall help bay commands' commands "$@"
}
(( $+functions[_swapcall__subcmd__help__subcmd__bays_commands] )) ||
_swapcall__subcmd__help__subcmd__bays_commands() {
    local commands; commands=()
    _describe -t commands 'swapcall help bays commands' commands "$@"
}
(( $+functions[_swapcall__subcmd__help__subcmd__board_commands] )) ||
_swapcall__subcmd__help__subcmd__board_commands() {
    local commands; commands=()
    _describe -t commands 'swapcall help board commands' commands "$@"
}
(( $+functions[_swapcall__subcmd__help__subcmd__calls_commands] )) ||
_swapcall__subcmd__help__subcmd__calls_commands() {
    local commands; commands=()
    _describe -t commands 'swapcall help calls commands' commands "$@"
}
(( $+functions[_swapcall__subcmd__help__subcmd__card_commands] )) ||
_swapcall__subcmd__help__subcmd__card_commands() {
    local commands; commands=()
    _describe -t commands 'swapcall help card commands' commands "$@"
}
(( $+functions[_swapcall__subcmd__help__subcmd__cards_commands] )) ||
_swapcall__subcmd__help__subcmd__cards_commands() {
    local commands; commands=()
    _describe -t commands 'swapcall help cards commands' commands "$@"
}
(( $+functions[_swapcall__subcmd__help__subcmd__claim_commands] )) ||
_swapcall__subcmd__help__subcmd__claim_commands() {
    local commands; commands=()
    _describe -t commands 'swapcall help claim commands' commands "$@"
}
(( $+functions[_swapcall__subcmd__help__subcmd__completions_commands] )) ||
_swapcall__subcmd__help__subcmd__completions_commands() {
    local commands; commands=()
    _describe -t commands 'swapcall help completions commands' commands "$@"
}
(( $+functions[_swapcall__subcmd__help__subcmd__doctor_commands] )) ||
_swapcall__subcmd__help__subcmd__doctor_commands() {
    local commands; commands=()
    _describe -t commands 'swapcall help doctor commands' commands "$@"
}
(( $+functions[_swapcall__subcmd__help__subcmd__done_commands] )) ||
_swapcall__subcmd__help__subcmd__done_commands() {
    local commands; commands=()
    _describe -t commands 'swapcall help done commands' commands "$@"
}
(( $+functions[_swapcall__subcmd__help__subcmd__find_commands] )) ||
_swapcall__subcmd__help__subcmd__find_commands() {
    local commands; commands=()
    _describe -t commands 'swapcall help find commands' commands "$@"
}
(( $+functions[_swapcall__subcmd__help__subcmd__fleet_commands] )) ||
_swapcall__subcmd__help__subcmd__fleet_commands() {
    local commands; commands=()
    _describe -t commands 'swapcall help fleet commands' commands "$@"
}
(( $+functions[_swapcall__subcmd__help__subcmd__forecasts_commands] )) ||
_swapcall__subcmd__help__subcmd__forecasts_commands() {
    local commands; commands=()
    _describe -t commands 'swapcall help forecasts commands' commands "$@"
}
(( $+functions[_swapcall__subcmd__help__subcmd__help_commands] )) ||
_swapcall__subcmd__help__subcmd__help_commands() {
    local commands; commands=()
    _describe -t commands 'swapcall help help commands' commands "$@"
}
(( $+functions[_swapcall__subcmd__help__subcmd__history_commands] )) ||
_swapcall__subcmd__help__subcmd__history_commands() {
    local commands; commands=()
    _describe -t commands 'swapcall help history commands' commands "$@"
}
(( $+functions[_swapcall__subcmd__help__subcmd__invite_commands] )) ||
_swapcall__subcmd__help__subcmd__invite_commands() {
    local commands; commands=()
    _describe -t commands 'swapcall help invite commands' commands "$@"
}
(( $+functions[_swapcall__subcmd__help__subcmd__join_commands] )) ||
_swapcall__subcmd__help__subcmd__join_commands() {
    local commands; commands=()
    _describe -t commands 'swapcall help join commands' commands "$@"
}
(( $+functions[_swapcall__subcmd__help__subcmd__kit_commands] )) ||
_swapcall__subcmd__help__subcmd__kit_commands() {
    local commands; commands=()
    _describe -t commands 'swapcall help kit commands' commands "$@"
}
(( $+functions[_swapcall__subcmd__help__subcmd__limits_commands] )) ||
_swapcall__subcmd__help__subcmd__limits_commands() {
    local commands; commands=(
'set:Replace what was set by what a file says' \
    )
    _describe -t commands 'swapcall help limits commands' commands "$@"
}
(( $+functions[_swapcall__subcmd__help__subcmd__limits__subcmd__set_commands] )) ||
_swapcall__subcmd__help__subcmd__limits__subcmd__set_commands() {
    local commands; commands=()
    _describe -t commands 'swapcall help limits set commands' commands "$@"
}
(( $+functions[_swapcall__subcmd__help__subcmd__man_commands] )) ||
_swapcall__subcmd__help__subcmd__man_commands() {
    local commands; commands=()
    _describe -t commands 'swapcall help man commands' commands "$@"
}
(( $+functions[_swapcall__subcmd__help__subcmd__offload_commands] )) ||
_swapcall__subcmd__help__subcmd__offload_commands() {
    local commands; commands=()
    _describe -t commands 'swapcall help offload commands' commands "$@"
}
(( $+functions[_swapcall__subcmd__help__subcmd__pack_commands] )) ||
_swapcall__subcmd__help__subcmd__pack_commands() {
    local commands; commands=()
    _describe -t commands 'swapcall help pack commands' commands "$@"
}
(( $+functions[_swapcall__subcmd__help__subcmd__packs_commands] )) ||
_swapcall__subcmd__help__subcmd__packs_commands() {
    local commands; commands=()
    _describe -t commands 'swapcall help packs commands' commands "$@"
}
(( $+functions[_swapcall__subcmd__help__subcmd__put-unit_commands] )) ||
_swapcall__subcmd__help__subcmd__put-unit_commands() {
    local commands; commands=()
    _describe -t commands 'swapcall help put-unit commands' commands "$@"
}
(( $+functions[_swapcall__subcmd__help__subcmd__release_commands] )) ||
_swapcall__subcmd__help__subcmd__release_commands() {
    local commands; commands=()
    _describe -t commands 'swapcall help release commands' commands "$@"
}
(( $+functions[_swapcall__subcmd__help__subcmd__replay_commands] )) ||
_swapcall__subcmd__help__subcmd__replay_commands() {
    local commands; commands=()
    _describe -t commands 'swapcall help replay commands' commands "$@"
}
(( $+functions[_swapcall__subcmd__help__subcmd__report_commands] )) ||
_swapcall__subcmd__help__subcmd__report_commands() {
    local commands; commands=()
    _describe -t commands 'swapcall help report commands' commands "$@"
}
(( $+functions[_swapcall__subcmd__help__subcmd__rotation_commands] )) ||
_swapcall__subcmd__help__subcmd__rotation_commands() {
    local commands; commands=()
    _describe -t commands 'swapcall help rotation commands' commands "$@"
}
(( $+functions[_swapcall__subcmd__help__subcmd__rundown_commands] )) ||
_swapcall__subcmd__help__subcmd__rundown_commands() {
    local commands; commands=(
'show:Show the windows, in order of their start' \
'set:Replace the rundown by what a file says' \
    )
    _describe -t commands 'swapcall help rundown commands' commands "$@"
}
(( $+functions[_swapcall__subcmd__help__subcmd__rundown__subcmd__set_commands] )) ||
_swapcall__subcmd__help__subcmd__rundown__subcmd__set_commands() {
    local commands; commands=()
    _describe -t commands 'swapcall help rundown set commands' commands "$@"
}
(( $+functions[_swapcall__subcmd__help__subcmd__rundown__subcmd__show_commands] )) ||
_swapcall__subcmd__help__subcmd__rundown__subcmd__show_commands() {
    local commands; commands=()
    _describe -t commands 'swapcall help rundown show commands' commands "$@"
}
(( $+functions[_swapcall__subcmd__help__subcmd__send_commands] )) ||
_swapcall__subcmd__help__subcmd__send_commands() {
    local commands; commands=()
    _describe -t commands 'swapcall help send commands' commands "$@"
}
(( $+functions[_swapcall__subcmd__help__subcmd__status_commands] )) ||
_swapcall__subcmd__help__subcmd__status_commands() {
    local commands; commands=()
    _describe -t commands 'swapcall help status commands' commands "$@"
}
(( $+functions[_swapcall__subcmd__help__subcmd__undo_commands] )) ||
_swapcall__subcmd__help__subcmd__undo_commands() {
    local commands; commands=()
    _describe -t commands 'swapcall help undo commands' commands "$@"
}
(( $+functions[_swapcall__subcmd__help__subcmd__unit_commands] )) ||
_swapcall__subcmd__help__subcmd__unit_commands() {
    local commands; commands=()
    _describe -t commands 'swapcall help unit commands' commands "$@"
}
(( $+functions[_swapcall__subcmd__help__subcmd__watch_commands] )) ||
_swapcall__subcmd__help__subcmd__watch_commands() {
    local commands; commands=()
    _describe -t commands 'swapcall help watch commands' commands "$@"
}
(( $+functions[_swapcall__subcmd__history_commands] )) ||
_swapcall__subcmd__history_commands() {
    local commands; commands=()
    _describe -t commands 'swapcall history commands' commands "$@"
}
(( $+functions[_swapcall__subcmd__invite_commands] )) ||
_swapcall__subcmd__invite_commands() {
    local commands; commands=()
    _describe -t commands 'swapcall invite commands' commands "$@"
}
(( $+functions[_swapcall__subcmd__join_commands] )) ||
_swapcall__subcmd__join_commands() {
    local commands; commands=()
    _describe -t commands 'swapcall join commands' commands "$@"
}
(( $+functions[_swapcall__subcmd__kit_commands] )) ||
_swapcall__subcmd__kit_commands() {
    local commands; commands=()
    _describe -t commands 'swapcall kit commands' commands "$@"
}
(( $+functions[_swapcall__subcmd__limits_commands] )) ||
_swapcall__subcmd__limits_commands() {
    local commands; commands=(
'set:Replace what was set by what a file says' \
'help:Print this message or the help of the given subcommand(s)' \
    )
    _describe -t commands 'swapcall limits commands' commands "$@"
}
(( $+functions[_swapcall__subcmd__limits__subcmd__help_commands] )) ||
_swapcall__subcmd__limits__subcmd__help_commands() {
    local commands; commands=(
'set:Replace what was set by what a file says' \
'help:Print this message or the help of the given subcommand(s)' \
    )
    _describe -t commands 'swapcall limits help commands' commands "$@"
}
(( $+functions[_swapcall__subcmd__limits__subcmd__help__subcmd__help_commands] )) ||
_swapcall__subcmd__limits__subcmd__help__subcmd__help_commands() {
    local commands; commands=()
    _describe -t commands 'swapcall limits help help commands' commands "$@"
}
(( $+functions[_swapcall__subcmd__limits__subcmd__help__subcmd__set_commands] )) ||
_swapcall__subcmd__limits__subcmd__help__subcmd__set_commands() {
    local commands; commands=()
    _describe -t commands 'swapcall limits help set commands' commands "$@"
}
(( $+functions[_swapcall__subcmd__limits__subcmd__set_commands] )) ||
_swapcall__subcmd__limits__subcmd__set_commands() {
    local commands; commands=()
    _describe -t commands 'swapcall limits set commands' commands "$@"
}
(( $+functions[_swapcall__subcmd__man_commands] )) ||
_swapcall__subcmd__man_commands() {
    local commands; commands=()
    _describe -t commands 'swapcall man commands' commands "$@"
}
(( $+functions[_swapcall__subcmd__offload_commands] )) ||
_swapcall__subcmd__offload_commands() {
    local commands; commands=()
    _describe -t commands 'swapcall offload commands' commands "$@"
}
(( $+functions[_swapcall__subcmd__pack_commands] )) ||
_swapcall__subcmd__pack_commands() {
    local commands; commands=()
    _describe -t commands 'swapcall pack commands' commands "$@"
}
(( $+functions[_swapcall__subcmd__packs_commands] )) ||
_swapcall__subcmd__packs_commands() {
    local commands; commands=()
    _describe -t commands 'swapcall packs commands' commands "$@"
}
(( $+functions[_swapcall__subcmd__put-unit_commands] )) ||
_swapcall__subcmd__put-unit_commands() {
    local commands; commands=()
    _describe -t commands 'swapcall put-unit commands' commands "$@"
}
(( $+functions[_swapcall__subcmd__release_commands] )) ||
_swapcall__subcmd__release_commands() {
    local commands; commands=()
    _describe -t commands 'swapcall release commands' commands "$@"
}
(( $+functions[_swapcall__subcmd__replay_commands] )) ||
_swapcall__subcmd__replay_commands() {
    local commands; commands=()
    _describe -t commands 'swapcall replay commands' commands "$@"
}
(( $+functions[_swapcall__subcmd__report_commands] )) ||
_swapcall__subcmd__report_commands() {
    local commands; commands=()
    _describe -t commands 'swapcall report commands' commands "$@"
}
(( $+functions[_swapcall__subcmd__rotation_commands] )) ||
_swapcall__subcmd__rotation_commands() {
    local commands; commands=()
    _describe -t commands 'swapcall rotation commands' commands "$@"
}
(( $+functions[_swapcall__subcmd__rundown_commands] )) ||
_swapcall__subcmd__rundown_commands() {
    local commands; commands=(
'show:Show the windows, in order of their start' \
'set:Replace the rundown by what a file says' \
'help:Print this message or the help of the given subcommand(s)' \
    )
    _describe -t commands 'swapcall rundown commands' commands "$@"
}
(( $+functions[_swapcall__subcmd__rundown__subcmd__help_commands] )) ||
_swapcall__subcmd__rundown__subcmd__help_commands() {
    local commands; commands=(
'show:Show the windows, in order of their start' \
'set:Replace the rundown by what a file says' \
'help:Print this message or the help of the given subcommand(s)' \
    )
    _describe -t commands 'swapcall rundown help commands' commands "$@"
}
(( $+functions[_swapcall__subcmd__rundown__subcmd__help__subcmd__help_commands] )) ||
_swapcall__subcmd__rundown__subcmd__help__subcmd__help_commands() {
    local commands; commands=()
    _describe -t commands 'swapcall rundown help help commands' commands "$@"
}
(( $+functions[_swapcall__subcmd__rundown__subcmd__help__subcmd__set_commands] )) ||
_swapcall__subcmd__rundown__subcmd__help__subcmd__set_commands() {
    local commands; commands=()
    _describe -t commands 'swapcall rundown help set commands' commands "$@"
}
(( $+functions[_swapcall__subcmd__rundown__subcmd__help__subcmd__show_commands] )) ||
_swapcall__subcmd__rundown__subcmd__help__subcmd__show_commands() {
    local commands; commands=()
    _describe -t commands 'swapcall rundown help show commands' commands "$@"
}
(( $+functions[_swapcall__subcmd__rundown__subcmd__set_commands] )) ||
_swapcall__subcmd__rundown__subcmd__set_commands() {
    local commands; commands=()
    _describe -t commands 'swapcall rundown set commands' commands "$@"
}
(( $+functions[_swapcall__subcmd__rundown__subcmd__show_commands] )) ||
_swapcall__subcmd__rundown__subcmd__show_commands() {
    local commands; commands=()
    _describe -t commands 'swapcall rundown show commands' commands "$@"
}
(( $+functions[_swapcall__subcmd__send_commands] )) ||
_swapcall__subcmd__send_commands() {
    local commands; commands=()
    _describe -t commands 'swapcall send commands' commands "$@"
}
(( $+functions[_swapcall__subcmd__status_commands] )) ||
_swapcall__subcmd__status_commands() {
    local commands; commands=()
    _describe -t commands 'swapcall status commands' commands "$@"
}
(( $+functions[_swapcall__subcmd__undo_commands] )) ||
_swapcall__subcmd__undo_commands() {
    local commands; commands=()
    _describe -t commands 'swapcall undo commands' commands "$@"
}
(( $+functions[_swapcall__subcmd__unit_commands] )) ||
_swapcall__subcmd__unit_commands() {
    local commands; commands=()
    _describe -t commands 'swapcall unit commands' commands "$@"
}
(( $+functions[_swapcall__subcmd__watch_commands] )) ||
_swapcall__subcmd__watch_commands() {
    local commands; commands=()
    _describe -t commands 'swapcall watch commands' commands "$@"
}

if [ "$funcstack[1]" = "_swapcall" ]; then
    _swapcall "$@"
else
    compdef _swapcall swapcall
fi
