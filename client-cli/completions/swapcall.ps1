
using namespace System.Management.Automation
using namespace System.Management.Automation.Language

Register-ArgumentCompleter -Native -CommandName 'swapcall' -ScriptBlock {
    param($wordToComplete, $commandAst, $cursorPosition)

    $commandElements = $commandAst.CommandElements
    $command = @(
        'swapcall'
        for ($i = 1; $i -lt $commandElements.Count; $i++) {
            $element = $commandElements[$i]
            if ($element -isnot [StringConstantExpressionAst] -or
                $element.StringConstantType -ne [StringConstantType]::BareWord -or
                $element.Value.StartsWith('-') -or
                $element.Value -eq $wordToComplete) {
                break
        }
        $element.Value
    }) -join ';'

    $completions = @(switch ($command) {
        'swapcall' {
            [CompletionResult]::new('--hub', '--hub', [CompletionResultType]::ParameterName, 'Address of the hub [env: SWAPCALL_HUB] [default: http://127.0.0.1:7979]')
            [CompletionResult]::new('--token', '--token', [CompletionResultType]::ParameterName, 'The token; better kept in a file or in the environment [env: SWAPCALL_TOKEN]')
            [CompletionResult]::new('--token-file', '--token-file', [CompletionResultType]::ParameterName, 'A file that holds the token [env: SWAPCALL_TOKEN_FILE]')
            [CompletionResult]::new('--hub-fingerprint', '--hub-fingerprint', [CompletionResultType]::ParameterName, 'Take exactly the certificate with this fingerprint, as the hub prints it [env: SWAPCALL_HUB_FINGERPRINT]')
            [CompletionResult]::new('--hub-ca', '--hub-ca', [CompletionResultType]::ParameterName, 'Take certificates signed by the authorities in this PEM file [env: SWAPCALL_HUB_CA] [default: the system''s]')
            [CompletionResult]::new('--spool', '--spool', [CompletionResultType]::ParameterName, 'The folder for reports that wait [env: SWAPCALL_SPOOL] [default: $XDG_STATE_HOME/swapcall/spool]')
            [CompletionResult]::new('--spool-size', '--spool-size', [CompletionResultType]::ParameterName, 'How large that folder may grow; its oldest reports are thinned, then dropped [env: SWAPCALL_SPOOL_SIZE] [default: 64 MiB]')
            [CompletionResult]::new('--config', '--config', [CompletionResultType]::ParameterName, 'Configuration file with hub, hub_fingerprint, hub_ca, token, token_file, spool, spool_size [default: $XDG_CONFIG_HOME/swapcall/config.toml]')
            [CompletionResult]::new('--json', '--json', [CompletionResultType]::ParameterName, 'Answer in JSON: one document, or one to a line where there are many')
            [CompletionResult]::new('-h', '-h', [CompletionResultType]::ParameterName, 'Print help')
            [CompletionResult]::new('--help', '--help', [CompletionResultType]::ParameterName, 'Print help')
            [CompletionResult]::new('-V', '-V ', [CompletionResultType]::ParameterName, 'Print version')
            [CompletionResult]::new('--version', '--version', [CompletionResultType]::ParameterName, 'Print version')
            [CompletionResult]::new('report', 'report', [CompletionResultType]::ParameterValue, 'Report what you read off a unit''s display')
            [CompletionResult]::new('watch', 'watch', [CompletionResultType]::ParameterValue, 'Report on a period from what this computer can read')
            [CompletionResult]::new('board', 'board', [CompletionResultType]::ParameterValue, 'Show the fleet, live')
            [CompletionResult]::new('calls', 'calls', [CompletionResultType]::ParameterValue, 'List the calls')
            [CompletionResult]::new('claim', 'claim', [CompletionResultType]::ParameterValue, 'Take a call: you are on the way')
            [CompletionResult]::new('release', 'release', [CompletionResultType]::ParameterValue, 'Give a call back')
            [CompletionResult]::new('done', 'done', [CompletionResultType]::ParameterValue, 'Say that a call is done')
            [CompletionResult]::new('undo', 'undo', [CompletionResultType]::ParameterValue, 'Take back that a call is done, within 30 seconds')
            [CompletionResult]::new('invite', 'invite', [CompletionResultType]::ParameterValue, 'Make a code with which somebody comes in, once')
            [CompletionResult]::new('join', 'join', [CompletionResultType]::ParameterValue, 'Come in with a code: writes the token and the hub''s address to the configuration')
            [CompletionResult]::new('find', 'find', [CompletionResultType]::ParameterValue, 'List the hubs that announce themselves on this network')
            [CompletionResult]::new('fleet', 'fleet', [CompletionResultType]::ParameterValue, 'Show every unit, once')
            [CompletionResult]::new('unit', 'unit', [CompletionResultType]::ParameterValue, 'Show one unit')
            [CompletionResult]::new('packs', 'packs', [CompletionResultType]::ParameterValue, 'List the packs of the kit: which are ready, and where the others are')
            [CompletionResult]::new('pack', 'pack', [CompletionResultType]::ParameterValue, 'Show a pack and what was learned of it, or say where it is and how full')
            [CompletionResult]::new('bays', 'bays', [CompletionResultType]::ParameterValue, 'List the bays of the chargers: what is in them, and when it is ready')
            [CompletionResult]::new('bay', 'bay', [CompletionResultType]::ParameterValue, 'Show a bay, or say what is in it and how full')
            [CompletionResult]::new('rotation', 'rotation', [CompletionResultType]::ParameterValue, 'Look ahead: whether the packs last, when they run short, how short, and what would cure it')
            [CompletionResult]::new('cards', 'cards', [CompletionResultType]::ParameterValue, 'List the cards of the kit: which are blank, and where the others are')
            [CompletionResult]::new('card', 'card', [CompletionResultType]::ParameterValue, 'Show a card, or say where it is and what is on it')
            [CompletionResult]::new('kit', 'kit', [CompletionResultType]::ParameterValue, 'Say before a show whether the kit lasts, what fails first, and what would mend it')
            [CompletionResult]::new('offload', 'offload', [CompletionResultType]::ParameterValue, 'Copy a card to several places, read every copy back, and say whether the card is safe')
            [CompletionResult]::new('history', 'history', [CompletionResultType]::ParameterValue, 'Show a unit''s past')
            [CompletionResult]::new('forecasts', 'forecasts', [CompletionResultType]::ParameterValue, 'Show how good a unit''s forecasts were: as they were made, with what then happened')
            [CompletionResult]::new('put-unit', 'put-unit', [CompletionResultType]::ParameterValue, 'Say what is known about a unit before it reports')
            [CompletionResult]::new('limits', 'limits', [CompletionResultType]::ParameterValue, 'Show or set lead times, margins and reminder times')
            [CompletionResult]::new('rundown', 'rundown', [CompletionResultType]::ParameterValue, 'Show or set the running order: when units roll, are held, or have a break')
            [CompletionResult]::new('replay', 'replay', [CompletionResultType]::ParameterValue, 'Post a recorded log, in real or compressed time')
            [CompletionResult]::new('send', 'send', [CompletionResultType]::ParameterValue, 'Send what waits in the spool, now')
            [CompletionResult]::new('status', 'status', [CompletionResultType]::ParameterValue, 'Show what waits in the spool, and whether the hub answers')
            [CompletionResult]::new('doctor', 'doctor', [CompletionResultType]::ParameterValue, 'Check everything a cart needs: configuration, hub, token, clock, spool and sources')
            [CompletionResult]::new('man', 'man', [CompletionResultType]::ParameterValue, 'Print the manual, or the page of one command')
            [CompletionResult]::new('completions', 'completions', [CompletionResultType]::ParameterValue, 'Print completions for a shell')
            [CompletionResult]::new('help', 'help', [CompletionResultType]::ParameterValue, 'Print this message or the help of the given subcommand(s)')
            break
        }
        'swapcall;report' {
            [CompletionResult]::new('-b', '-b', [CompletionResultType]::ParameterName, 'What the gauge shows, 0 to 100')
            [CompletionResult]::new('--battery', '--battery', [CompletionResultType]::ParameterName, 'What the gauge shows, 0 to 100')
            [CompletionResult]::new('--step', '--step', [CompletionResultType]::ParameterName, 'The gauge''s resolution in percent: 1, 5, 25')
            [CompletionResult]::new('--pack', '--pack', [CompletionResultType]::ParameterName, 'Label of the pack')
            [CompletionResult]::new('--celsius', '--celsius', [CompletionResultType]::ParameterName, 'Pack temperature in degrees Celsius')
            [CompletionResult]::new('--volts', '--volts', [CompletionResultType]::ParameterName, 'Pack voltage')
            [CompletionResult]::new('--card', '--card', [CompletionResultType]::ParameterName, 'A card: A=40, A=51.2/128GB, A:C12=40; may be repeated')
            [CompletionResult]::new('--slot-mode', '--slot-mode', [CompletionResultType]::ParameterName, 'How the slots work together: single, relay, simultaneous')
            [CompletionResult]::new('--bit-rate', '--bit-rate', [CompletionResultType]::ParameterName, 'Bit rate in Mb/s')
            [CompletionResult]::new('-m', '-m', [CompletionResultType]::ParameterName, 'What the camera is doing: rec, standby, off')
            [CompletionResult]::new('--mode', '--mode', [CompletionResultType]::ParameterName, 'What the camera is doing: rec, standby, off')
            [CompletionResult]::new('--hub', '--hub', [CompletionResultType]::ParameterName, 'Address of the hub [env: SWAPCALL_HUB] [default: http://127.0.0.1:7979]')
            [CompletionResult]::new('--token', '--token', [CompletionResultType]::ParameterName, 'The token; better kept in a file or in the environment [env: SWAPCALL_TOKEN]')
            [CompletionResult]::new('--token-file', '--token-file', [CompletionResultType]::ParameterName, 'A file that holds the token [env: SWAPCALL_TOKEN_FILE]')
            [CompletionResult]::new('--hub-fingerprint', '--hub-fingerprint', [CompletionResultType]::ParameterName, 'Take exactly the certificate with this fingerprint, as the hub prints it [env: SWAPCALL_HUB_FINGERPRINT]')
            [CompletionResult]::new('--hub-ca', '--hub-ca', [CompletionResultType]::ParameterName, 'Take certificates signed by the authorities in this PEM file [env: SWAPCALL_HUB_CA] [default: the system''s]')
            [CompletionResult]::new('--spool', '--spool', [CompletionResultType]::ParameterName, 'The folder for reports that wait [env: SWAPCALL_SPOOL] [default: $XDG_STATE_HOME/swapcall/spool]')
            [CompletionResult]::new('--spool-size', '--spool-size', [CompletionResultType]::ParameterName, 'How large that folder may grow; its oldest reports are thinned, then dropped [env: SWAPCALL_SPOOL_SIZE] [default: 64 MiB]')
            [CompletionResult]::new('--config', '--config', [CompletionResultType]::ParameterName, 'Configuration file with hub, hub_fingerprint, hub_ca, token, token_file, spool, spool_size [default: $XDG_CONFIG_HOME/swapcall/config.toml]')
            [CompletionResult]::new('--external', '--external', [CompletionResultType]::ParameterName, 'On external power')
            [CompletionResult]::new('--as-cart', '--as-cart', [CompletionResultType]::ParameterName, 'Say that a program read these values, not a person')
            [CompletionResult]::new('--json', '--json', [CompletionResultType]::ParameterName, 'Answer in JSON: one document, or one to a line where there are many')
            [CompletionResult]::new('-h', '-h', [CompletionResultType]::ParameterName, 'Print help')
            [CompletionResult]::new('--help', '--help', [CompletionResultType]::ParameterName, 'Print help')
            break
        }
        'swapcall;watch' {
            [CompletionResult]::new('--every', '--every', [CompletionResultType]::ParameterName, 'How often to look and report')
            [CompletionResult]::new('--power-supply', '--power-supply', [CompletionResultType]::ParameterName, 'Read this computer''s battery')
            [CompletionResult]::new('--mount', '--mount', [CompletionResultType]::ParameterName, 'The folder a card is mounted on, A=/media/card or, with its label, A:C12=/media/card; may be repeated')
            [CompletionResult]::new('--mounts-under', '--mounts-under', [CompletionResultType]::ParameterName, 'Every card that is mounted below a folder, as slots A, B …')
            [CompletionResult]::new('--http', '--http', [CompletionResultType]::ParameterName, 'A device that answers with JSON; the report''s own form, unless --http-map says where the values stand')
            [CompletionResult]::new('--http-map', '--http-map', [CompletionResultType]::ParameterName, 'Where a value stands, by JSON Pointer: battery=/power/percent, mode=/rec, A.used_percent=/cards/0/fill; may be repeated')
            [CompletionResult]::new('--ptp', '--ptp', [CompletionResultType]::ParameterName, 'A camera on the network by PTP/IP: its battery and its cards')
            [CompletionResult]::new('--command', '--command', [CompletionResultType]::ParameterName, 'A shell line that prints a report as JSON; its last object is taken')
            [CompletionResult]::new('-m', '-m', [CompletionResultType]::ParameterName, 'What the camera is doing, where it is not seen from the cards: rec, standby, off')
            [CompletionResult]::new('--mode', '--mode', [CompletionResultType]::ParameterName, 'What the camera is doing, where it is not seen from the cards: rec, standby, off')
            [CompletionResult]::new('--pack', '--pack', [CompletionResultType]::ParameterName, 'Label of the pack')
            [CompletionResult]::new('--slot-mode', '--slot-mode', [CompletionResultType]::ParameterName, 'How the slots work together: single, relay, simultaneous')
            [CompletionResult]::new('--bit-rate', '--bit-rate', [CompletionResultType]::ParameterName, 'Bit rate in Mb/s')
            [CompletionResult]::new('--hub', '--hub', [CompletionResultType]::ParameterName, 'Address of the hub [env: SWAPCALL_HUB] [default: http://127.0.0.1:7979]')
            [CompletionResult]::new('--token', '--token', [CompletionResultType]::ParameterName, 'The token; better kept in a file or in the environment [env: SWAPCALL_TOKEN]')
            [CompletionResult]::new('--token-file', '--token-file', [CompletionResultType]::ParameterName, 'A file that holds the token [env: SWAPCALL_TOKEN_FILE]')
            [CompletionResult]::new('--hub-fingerprint', '--hub-fingerprint', [CompletionResultType]::ParameterName, 'Take exactly the certificate with this fingerprint, as the hub prints it [env: SWAPCALL_HUB_FINGERPRINT]')
            [CompletionResult]::new('--hub-ca', '--hub-ca', [CompletionResultType]::ParameterName, 'Take certificates signed by the authorities in this PEM file [env: SWAPCALL_HUB_CA] [default: the system''s]')
            [CompletionResult]::new('--spool', '--spool', [CompletionResultType]::ParameterName, 'The folder for reports that wait [env: SWAPCALL_SPOOL] [default: $XDG_STATE_HOME/swapcall/spool]')
            [CompletionResult]::new('--spool-size', '--spool-size', [CompletionResultType]::ParameterName, 'How large that folder may grow; its oldest reports are thinned, then dropped [env: SWAPCALL_SPOOL_SIZE] [default: 64 MiB]')
            [CompletionResult]::new('--config', '--config', [CompletionResultType]::ParameterName, 'Configuration file with hub, hub_fingerprint, hub_ca, token, token_file, spool, spool_size [default: $XDG_CONFIG_HOME/swapcall/config.toml]')
            [CompletionResult]::new('--typed', '--typed', [CompletionResultType]::ParameterName, 'Ask the person at the terminal for the values, again and again')
            [CompletionResult]::new('--json', '--json', [CompletionResultType]::ParameterName, 'Answer in JSON: one document, or one to a line where there are many')
            [CompletionResult]::new('-h', '-h', [CompletionResultType]::ParameterName, 'Print help')
            [CompletionResult]::new('--help', '--help', [CompletionResultType]::ParameterName, 'Print help')
            break
        }
        'swapcall;board' {
            [CompletionResult]::new('--hub', '--hub', [CompletionResultType]::ParameterName, 'Address of the hub [env: SWAPCALL_HUB] [default: http://127.0.0.1:7979]')
            [CompletionResult]::new('--token', '--token', [CompletionResultType]::ParameterName, 'The token; better kept in a file or in the environment [env: SWAPCALL_TOKEN]')
            [CompletionResult]::new('--token-file', '--token-file', [CompletionResultType]::ParameterName, 'A file that holds the token [env: SWAPCALL_TOKEN_FILE]')
            [CompletionResult]::new('--hub-fingerprint', '--hub-fingerprint', [CompletionResultType]::ParameterName, 'Take exactly the certificate with this fingerprint, as the hub prints it [env: SWAPCALL_HUB_FINGERPRINT]')
            [CompletionResult]::new('--hub-ca', '--hub-ca', [CompletionResultType]::ParameterName, 'Take certificates signed by the authorities in this PEM file [env: SWAPCALL_HUB_CA] [default: the system''s]')
            [CompletionResult]::new('--spool', '--spool', [CompletionResultType]::ParameterName, 'The folder for reports that wait [env: SWAPCALL_SPOOL] [default: $XDG_STATE_HOME/swapcall/spool]')
            [CompletionResult]::new('--spool-size', '--spool-size', [CompletionResultType]::ParameterName, 'How large that folder may grow; its oldest reports are thinned, then dropped [env: SWAPCALL_SPOOL_SIZE] [default: 64 MiB]')
            [CompletionResult]::new('--config', '--config', [CompletionResultType]::ParameterName, 'Configuration file with hub, hub_fingerprint, hub_ca, token, token_file, spool, spool_size [default: $XDG_CONFIG_HOME/swapcall/config.toml]')
            [CompletionResult]::new('--plain', '--plain', [CompletionResultType]::ParameterName, 'One line per change, for logs and screen readers')
            [CompletionResult]::new('--json', '--json', [CompletionResultType]::ParameterName, 'Answer in JSON: one document, or one to a line where there are many')
            [CompletionResult]::new('-h', '-h', [CompletionResultType]::ParameterName, 'Print help')
            [CompletionResult]::new('--help', '--help', [CompletionResultType]::ParameterName, 'Print help')
            break
        }
        'swapcall;calls' {
            [CompletionResult]::new('--hub', '--hub', [CompletionResultType]::ParameterName, 'Address of the hub [env: SWAPCALL_HUB] [default: http://127.0.0.1:7979]')
            [CompletionResult]::new('--token', '--token', [CompletionResultType]::ParameterName, 'The token; better kept in a file or in the environment [env: SWAPCALL_TOKEN]')
            [CompletionResult]::new('--token-file', '--token-file', [CompletionResultType]::ParameterName, 'A file that holds the token [env: SWAPCALL_TOKEN_FILE]')
            [CompletionResult]::new('--hub-fingerprint', '--hub-fingerprint', [CompletionResultType]::ParameterName, 'Take exactly the certificate with this fingerprint, as the hub prints it [env: SWAPCALL_HUB_FINGERPRINT]')
            [CompletionResult]::new('--hub-ca', '--hub-ca', [CompletionResultType]::ParameterName, 'Take certificates signed by the authorities in this PEM file [env: SWAPCALL_HUB_CA] [default: the system''s]')
            [CompletionResult]::new('--spool', '--spool', [CompletionResultType]::ParameterName, 'The folder for reports that wait [env: SWAPCALL_SPOOL] [default: $XDG_STATE_HOME/swapcall/spool]')
            [CompletionResult]::new('--spool-size', '--spool-size', [CompletionResultType]::ParameterName, 'How large that folder may grow; its oldest reports are thinned, then dropped [env: SWAPCALL_SPOOL_SIZE] [default: 64 MiB]')
            [CompletionResult]::new('--config', '--config', [CompletionResultType]::ParameterName, 'Configuration file with hub, hub_fingerprint, hub_ca, token, token_file, spool, spool_size [default: $XDG_CONFIG_HOME/swapcall/config.toml]')
            [CompletionResult]::new('--all', '--all', [CompletionResultType]::ParameterName, 'Ended calls as well')
            [CompletionResult]::new('--json', '--json', [CompletionResultType]::ParameterName, 'Answer in JSON: one document, or one to a line where there are many')
            [CompletionResult]::new('-h', '-h', [CompletionResultType]::ParameterName, 'Print help')
            [CompletionResult]::new('--help', '--help', [CompletionResultType]::ParameterName, 'Print help')
            break
        }
        'swapcall;claim' {
            [CompletionResult]::new('--as', '--as', [CompletionResultType]::ParameterName, 'Claim in another''s name (leads and owners)')
            [CompletionResult]::new('--note', '--note', [CompletionResultType]::ParameterName, 'A word for the others')
            [CompletionResult]::new('--hub', '--hub', [CompletionResultType]::ParameterName, 'Address of the hub [env: SWAPCALL_HUB] [default: http://127.0.0.1:7979]')
            [CompletionResult]::new('--token', '--token', [CompletionResultType]::ParameterName, 'The token; better kept in a file or in the environment [env: SWAPCALL_TOKEN]')
            [CompletionResult]::new('--token-file', '--token-file', [CompletionResultType]::ParameterName, 'A file that holds the token [env: SWAPCALL_TOKEN_FILE]')
            [CompletionResult]::new('--hub-fingerprint', '--hub-fingerprint', [CompletionResultType]::ParameterName, 'Take exactly the certificate with this fingerprint, as the hub prints it [env: SWAPCALL_HUB_FINGERPRINT]')
            [CompletionResult]::new('--hub-ca', '--hub-ca', [CompletionResultType]::ParameterName, 'Take certificates signed by the authorities in this PEM file [env: SWAPCALL_HUB_CA] [default: the system''s]')
            [CompletionResult]::new('--spool', '--spool', [CompletionResultType]::ParameterName, 'The folder for reports that wait [env: SWAPCALL_SPOOL] [default: $XDG_STATE_HOME/swapcall/spool]')
            [CompletionResult]::new('--spool-size', '--spool-size', [CompletionResultType]::ParameterName, 'How large that folder may grow; its oldest reports are thinned, then dropped [env: SWAPCALL_SPOOL_SIZE] [default: 64 MiB]')
            [CompletionResult]::new('--config', '--config', [CompletionResultType]::ParameterName, 'Configuration file with hub, hub_fingerprint, hub_ca, token, token_file, spool, spool_size [default: $XDG_CONFIG_HOME/swapcall/config.toml]')
            [CompletionResult]::new('--json', '--json', [CompletionResultType]::ParameterName, 'Answer in JSON: one document, or one to a line where there are many')
            [CompletionResult]::new('-h', '-h', [CompletionResultType]::ParameterName, 'Print help')
            [CompletionResult]::new('--help', '--help', [CompletionResultType]::ParameterName, 'Print help')
            break
        }
        'swapcall;release' {
            [CompletionResult]::new('--hub', '--hub', [CompletionResultType]::ParameterName, 'Address of the hub [env: SWAPCALL_HUB] [default: http://127.0.0.1:7979]')
            [CompletionResult]::new('--token', '--token', [CompletionResultType]::ParameterName, 'The token; better kept in a file or in the environment [env: SWAPCALL_TOKEN]')
            [CompletionResult]::new('--token-file', '--token-file', [CompletionResultType]::ParameterName, 'A file that holds the token [env: SWAPCALL_TOKEN_FILE]')
            [CompletionResult]::new('--hub-fingerprint', '--hub-fingerprint', [CompletionResultType]::ParameterName, 'Take exactly the certificate with this fingerprint, as the hub prints it [env: SWAPCALL_HUB_FINGERPRINT]')
            [CompletionResult]::new('--hub-ca', '--hub-ca', [CompletionResultType]::ParameterName, 'Take certificates signed by the authorities in this PEM file [env: SWAPCALL_HUB_CA] [default: the system''s]')
            [CompletionResult]::new('--spool', '--spool', [CompletionResultType]::ParameterName, 'The folder for reports that wait [env: SWAPCALL_SPOOL] [default: $XDG_STATE_HOME/swapcall/spool]')
            [CompletionResult]::new('--spool-size', '--spool-size', [CompletionResultType]::ParameterName, 'How large that folder may grow; its oldest reports are thinned, then dropped [env: SWAPCALL_SPOOL_SIZE] [default: 64 MiB]')
            [CompletionResult]::new('--config', '--config', [CompletionResultType]::ParameterName, 'Configuration file with hub, hub_fingerprint, hub_ca, token, token_file, spool, spool_size [default: $XDG_CONFIG_HOME/swapcall/config.toml]')
            [CompletionResult]::new('--json', '--json', [CompletionResultType]::ParameterName, 'Answer in JSON: one document, or one to a line where there are many')
            [CompletionResult]::new('-h', '-h', [CompletionResultType]::ParameterName, 'Print help')
            [CompletionResult]::new('--help', '--help', [CompletionResultType]::ParameterName, 'Print help')
            break
        }
        'swapcall;done' {
            [CompletionResult]::new('--note', '--note', [CompletionResultType]::ParameterName, 'A word for the others')
            [CompletionResult]::new('--hub', '--hub', [CompletionResultType]::ParameterName, 'Address of the hub [env: SWAPCALL_HUB] [default: http://127.0.0.1:7979]')
            [CompletionResult]::new('--token', '--token', [CompletionResultType]::ParameterName, 'The token; better kept in a file or in the environment [env: SWAPCALL_TOKEN]')
            [CompletionResult]::new('--token-file', '--token-file', [CompletionResultType]::ParameterName, 'A file that holds the token [env: SWAPCALL_TOKEN_FILE]')
            [CompletionResult]::new('--hub-fingerprint', '--hub-fingerprint', [CompletionResultType]::ParameterName, 'Take exactly the certificate with this fingerprint, as the hub prints it [env: SWAPCALL_HUB_FINGERPRINT]')
            [CompletionResult]::new('--hub-ca', '--hub-ca', [CompletionResultType]::ParameterName, 'Take certificates signed by the authorities in this PEM file [env: SWAPCALL_HUB_CA] [default: the system''s]')
            [CompletionResult]::new('--spool', '--spool', [CompletionResultType]::ParameterName, 'The folder for reports that wait [env: SWAPCALL_SPOOL] [default: $XDG_STATE_HOME/swapcall/spool]')
            [CompletionResult]::new('--spool-size', '--spool-size', [CompletionResultType]::ParameterName, 'How large that folder may grow; its oldest reports are thinned, then dropped [env: SWAPCALL_SPOOL_SIZE] [default: 64 MiB]')
            [CompletionResult]::new('--config', '--config', [CompletionResultType]::ParameterName, 'Configuration file with hub, hub_fingerprint, hub_ca, token, token_file, spool, spool_size [default: $XDG_CONFIG_HOME/swapcall/config.toml]')
            [CompletionResult]::new('--json', '--json', [CompletionResultType]::ParameterName, 'Answer in JSON: one document, or one to a line where there are many')
            [CompletionResult]::new('-h', '-h', [CompletionResultType]::ParameterName, 'Print help')
            [CompletionResult]::new('--help', '--help', [CompletionResultType]::ParameterName, 'Print help')
            break
        }
        'swapcall;undo' {
            [CompletionResult]::new('--hub', '--hub', [CompletionResultType]::ParameterName, 'Address of the hub [env: SWAPCALL_HUB] [default: http://127.0.0.1:7979]')
            [CompletionResult]::new('--token', '--token', [CompletionResultType]::ParameterName, 'The token; better kept in a file or in the environment [env: SWAPCALL_TOKEN]')
            [CompletionResult]::new('--token-file', '--token-file', [CompletionResultType]::ParameterName, 'A file that holds the token [env: SWAPCALL_TOKEN_FILE]')
            [CompletionResult]::new('--hub-fingerprint', '--hub-fingerprint', [CompletionResultType]::ParameterName, 'Take exactly the certificate with this fingerprint, as the hub prints it [env: SWAPCALL_HUB_FINGERPRINT]')
            [CompletionResult]::new('--hub-ca', '--hub-ca', [CompletionResultType]::ParameterName, 'Take certificates signed by the authorities in this PEM file [env: SWAPCALL_HUB_CA] [default: the system''s]')
            [CompletionResult]::new('--spool', '--spool', [CompletionResultType]::ParameterName, 'The folder for reports that wait [env: SWAPCALL_SPOOL] [default: $XDG_STATE_HOME/swapcall/spool]')
            [CompletionResult]::new('--spool-size', '--spool-size', [CompletionResultType]::ParameterName, 'How large that folder may grow; its oldest reports are thinned, then dropped [env: SWAPCALL_SPOOL_SIZE] [default: 64 MiB]')
            [CompletionResult]::new('--config', '--config', [CompletionResultType]::ParameterName, 'Configuration file with hub, hub_fingerprint, hub_ca, token, token_file, spool, spool_size [default: $XDG_CONFIG_HOME/swapcall/config.toml]')
            [CompletionResult]::new('--json', '--json', [CompletionResultType]::ParameterName, 'Answer in JSON: one document, or one to a line where there are many')
            [CompletionResult]::new('-h', '-h', [CompletionResultType]::ParameterName, 'Print help')
            [CompletionResult]::new('--help', '--help', [CompletionResultType]::ParameterName, 'Print help')
            break
        }
        'swapcall;invite' {
            [CompletionResult]::new('--role', '--role', [CompletionResultType]::ParameterName, 'What the guest may do: less than you may')
            [CompletionResult]::new('--unit', '--unit', [CompletionResultType]::ParameterName, 'For a cart: the units it may report for; every unit when left out')
            [CompletionResult]::new('--minutes', '--minutes', [CompletionResultType]::ParameterName, 'How long the code works')
            [CompletionResult]::new('--hub', '--hub', [CompletionResultType]::ParameterName, 'Address of the hub [env: SWAPCALL_HUB] [default: http://127.0.0.1:7979]')
            [CompletionResult]::new('--token', '--token', [CompletionResultType]::ParameterName, 'The token; better kept in a file or in the environment [env: SWAPCALL_TOKEN]')
            [CompletionResult]::new('--token-file', '--token-file', [CompletionResultType]::ParameterName, 'A file that holds the token [env: SWAPCALL_TOKEN_FILE]')
            [CompletionResult]::new('--hub-fingerprint', '--hub-fingerprint', [CompletionResultType]::ParameterName, 'Take exactly the certificate with this fingerprint, as the hub prints it [env: SWAPCALL_HUB_FINGERPRINT]')
            [CompletionResult]::new('--hub-ca', '--hub-ca', [CompletionResultType]::ParameterName, 'Take certificates signed by the authorities in this PEM file [env: SWAPCALL_HUB_CA] [default: the system''s]')
            [CompletionResult]::new('--spool', '--spool', [CompletionResultType]::ParameterName, 'The folder for reports that wait [env: SWAPCALL_SPOOL] [default: $XDG_STATE_HOME/swapcall/spool]')
            [CompletionResult]::new('--spool-size', '--spool-size', [CompletionResultType]::ParameterName, 'How large that folder may grow; its oldest reports are thinned, then dropped [env: SWAPCALL_SPOOL_SIZE] [default: 64 MiB]')
            [CompletionResult]::new('--config', '--config', [CompletionResultType]::ParameterName, 'Configuration file with hub, hub_fingerprint, hub_ca, token, token_file, spool, spool_size [default: $XDG_CONFIG_HOME/swapcall/config.toml]')
            [CompletionResult]::new('--json', '--json', [CompletionResultType]::ParameterName, 'Answer in JSON: one document, or one to a line where there are many')
            [CompletionResult]::new('-h', '-h', [CompletionResultType]::ParameterName, 'Print help')
            [CompletionResult]::new('--help', '--help', [CompletionResultType]::ParameterName, 'Print help')
            break
        }
        'swapcall;join' {
            [CompletionResult]::new('--hub', '--hub', [CompletionResultType]::ParameterName, 'Address of the hub [env: SWAPCALL_HUB] [default: http://127.0.0.1:7979]')
            [CompletionResult]::new('--token', '--token', [CompletionResultType]::ParameterName, 'The token; better kept in a file or in the environment [env: SWAPCALL_TOKEN]')
            [CompletionResult]::new('--token-file', '--token-file', [CompletionResultType]::ParameterName, 'A file that holds the token [env: SWAPCALL_TOKEN_FILE]')
            [CompletionResult]::new('--hub-fingerprint', '--hub-fingerprint', [CompletionResultType]::ParameterName, 'Take exactly the certificate with this fingerprint, as the hub prints it [env: SWAPCALL_HUB_FINGERPRINT]')
            [CompletionResult]::new('--hub-ca', '--hub-ca', [CompletionResultType]::ParameterName, 'Take certificates signed by the authorities in this PEM file [env: SWAPCALL_HUB_CA] [default: the system''s]')
            [CompletionResult]::new('--spool', '--spool', [CompletionResultType]::ParameterName, 'The folder for reports that wait [env: SWAPCALL_SPOOL] [default: $XDG_STATE_HOME/swapcall/spool]')
            [CompletionResult]::new('--spool-size', '--spool-size', [CompletionResultType]::ParameterName, 'How large that folder may grow; its oldest reports are thinned, then dropped [env: SWAPCALL_SPOOL_SIZE] [default: 64 MiB]')
            [CompletionResult]::new('--config', '--config', [CompletionResultType]::ParameterName, 'Configuration file with hub, hub_fingerprint, hub_ca, token, token_file, spool, spool_size [default: $XDG_CONFIG_HOME/swapcall/config.toml]')
            [CompletionResult]::new('--json', '--json', [CompletionResultType]::ParameterName, 'Answer in JSON: one document, or one to a line where there are many')
            [CompletionResult]::new('-h', '-h', [CompletionResultType]::ParameterName, 'Print help')
            [CompletionResult]::new('--help', '--help', [CompletionResultType]::ParameterName, 'Print help')
            break
        }
        'swapcall;find' {
            [CompletionResult]::new('--hub', '--hub', [CompletionResultType]::ParameterName, 'Address of the hub [env: SWAPCALL_HUB] [default: http://127.0.0.1:7979]')
            [CompletionResult]::new('--token', '--token', [CompletionResultType]::ParameterName, 'The token; better kept in a file or in the environment [env: SWAPCALL_TOKEN]')
            [CompletionResult]::new('--token-file', '--token-file', [CompletionResultType]::ParameterName, 'A file that holds the token [env: SWAPCALL_TOKEN_FILE]')
            [CompletionResult]::new('--hub-fingerprint', '--hub-fingerprint', [CompletionResultType]::ParameterName, 'Take exactly the certificate with this fingerprint, as the hub prints it [env: SWAPCALL_HUB_FINGERPRINT]')
            [CompletionResult]::new('--hub-ca', '--hub-ca', [CompletionResultType]::ParameterName, 'Take certificates signed by the authorities in this PEM file [env: SWAPCALL_HUB_CA] [default: the system''s]')
            [CompletionResult]::new('--spool', '--spool', [CompletionResultType]::ParameterName, 'The folder for reports that wait [env: SWAPCALL_SPOOL] [default: $XDG_STATE_HOME/swapcall/spool]')
            [CompletionResult]::new('--spool-size', '--spool-size', [CompletionResultType]::ParameterName, 'How large that folder may grow; its oldest reports are thinned, then dropped [env: SWAPCALL_SPOOL_SIZE] [default: 64 MiB]')
            [CompletionResult]::new('--config', '--config', [CompletionResultType]::ParameterName, 'Configuration file with hub, hub_fingerprint, hub_ca, token, token_file, spool, spool_size [default: $XDG_CONFIG_HOME/swapcall/config.toml]')
            [CompletionResult]::new('--json', '--json', [CompletionResultType]::ParameterName, 'Answer in JSON: one document, or one to a line where there are many')
            [CompletionResult]::new('-h', '-h', [CompletionResultType]::ParameterName, 'Print help')
            [CompletionResult]::new('--help', '--help', [CompletionResultType]::ParameterName, 'Print help')
            break
        }
        'swapcall;fleet' {
            [CompletionResult]::new('--hub', '--hub', [CompletionResultType]::ParameterName, 'Address of the hub [env: SWAPCALL_HUB] [default: http://127.0.0.1:7979]')
            [CompletionResult]::new('--token', '--token', [CompletionResultType]::ParameterName, 'The token; better kept in a file or in the environment [env: SWAPCALL_TOKEN]')
            [CompletionResult]::new('--token-file', '--token-file', [CompletionResultType]::ParameterName, 'A file that holds the token [env: SWAPCALL_TOKEN_FILE]')
            [CompletionResult]::new('--hub-fingerprint', '--hub-fingerprint', [CompletionResultType]::ParameterName, 'Take exactly the certificate with this fingerprint, as the hub prints it [env: SWAPCALL_HUB_FINGERPRINT]')
            [CompletionResult]::new('--hub-ca', '--hub-ca', [CompletionResultType]::ParameterName, 'Take certificates signed by the authorities in this PEM file [env: SWAPCALL_HUB_CA] [default: the system''s]')
            [CompletionResult]::new('--spool', '--spool', [CompletionResultType]::ParameterName, 'The folder for reports that wait [env: SWAPCALL_SPOOL] [default: $XDG_STATE_HOME/swapcall/spool]')
            [CompletionResult]::new('--spool-size', '--spool-size', [CompletionResultType]::ParameterName, 'How large that folder may grow; its oldest reports are thinned, then dropped [env: SWAPCALL_SPOOL_SIZE] [default: 64 MiB]')
            [CompletionResult]::new('--config', '--config', [CompletionResultType]::ParameterName, 'Configuration file with hub, hub_fingerprint, hub_ca, token, token_file, spool, spool_size [default: $XDG_CONFIG_HOME/swapcall/config.toml]')
            [CompletionResult]::new('--json', '--json', [CompletionResultType]::ParameterName, 'Answer in JSON: one document, or one to a line where there are many')
            [CompletionResult]::new('-h', '-h', [CompletionResultType]::ParameterName, 'Print help')
            [CompletionResult]::new('--help', '--help', [CompletionResultType]::ParameterName, 'Print help')
            break
        }
        'swapcall;unit' {
            [CompletionResult]::new('--hub', '--hub', [CompletionResultType]::ParameterName, 'Address of the hub [env: SWAPCALL_HUB] [default: http://127.0.0.1:7979]')
            [CompletionResult]::new('--token', '--token', [CompletionResultType]::ParameterName, 'The token; better kept in a file or in the environment [env: SWAPCALL_TOKEN]')
            [CompletionResult]::new('--token-file', '--token-file', [CompletionResultType]::ParameterName, 'A file that holds the token [env: SWAPCALL_TOKEN_FILE]')
            [CompletionResult]::new('--hub-fingerprint', '--hub-fingerprint', [CompletionResultType]::ParameterName, 'Take exactly the certificate with this fingerprint, as the hub prints it [env: SWAPCALL_HUB_FINGERPRINT]')
            [CompletionResult]::new('--hub-ca', '--hub-ca', [CompletionResultType]::ParameterName, 'Take certificates signed by the authorities in this PEM file [env: SWAPCALL_HUB_CA] [default: the system''s]')
            [CompletionResult]::new('--spool', '--spool', [CompletionResultType]::ParameterName, 'The folder for reports that wait [env: SWAPCALL_SPOOL] [default: $XDG_STATE_HOME/swapcall/spool]')
            [CompletionResult]::new('--spool-size', '--spool-size', [CompletionResultType]::ParameterName, 'How large that folder may grow; its oldest reports are thinned, then dropped [env: SWAPCALL_SPOOL_SIZE] [default: 64 MiB]')
            [CompletionResult]::new('--config', '--config', [CompletionResultType]::ParameterName, 'Configuration file with hub, hub_fingerprint, hub_ca, token, token_file, spool, spool_size [default: $XDG_CONFIG_HOME/swapcall/config.toml]')
            [CompletionResult]::new('--json', '--json', [CompletionResultType]::ParameterName, 'Answer in JSON: one document, or one to a line where there are many')
            [CompletionResult]::new('-h', '-h', [CompletionResultType]::ParameterName, 'Print help')
            [CompletionResult]::new('--help', '--help', [CompletionResultType]::ParameterName, 'Print help')
            break
        }
        'swapcall;packs' {
            [CompletionResult]::new('--from', '--from', [CompletionResultType]::ParameterName, 'Register all that stand in this table (CSV); - is standard input')
            [CompletionResult]::new('--hub', '--hub', [CompletionResultType]::ParameterName, 'Address of the hub [env: SWAPCALL_HUB] [default: http://127.0.0.1:7979]')
            [CompletionResult]::new('--token', '--token', [CompletionResultType]::ParameterName, 'The token; better kept in a file or in the environment [env: SWAPCALL_TOKEN]')
            [CompletionResult]::new('--token-file', '--token-file', [CompletionResultType]::ParameterName, 'A file that holds the token [env: SWAPCALL_TOKEN_FILE]')
            [CompletionResult]::new('--hub-fingerprint', '--hub-fingerprint', [CompletionResultType]::ParameterName, 'Take exactly the certificate with this fingerprint, as the hub prints it [env: SWAPCALL_HUB_FINGERPRINT]')
            [CompletionResult]::new('--hub-ca', '--hub-ca', [CompletionResultType]::ParameterName, 'Take certificates signed by the authorities in this PEM file [env: SWAPCALL_HUB_CA] [default: the system''s]')
            [CompletionResult]::new('--spool', '--spool', [CompletionResultType]::ParameterName, 'The folder for reports that wait [env: SWAPCALL_SPOOL] [default: $XDG_STATE_HOME/swapcall/spool]')
            [CompletionResult]::new('--spool-size', '--spool-size', [CompletionResultType]::ParameterName, 'How large that folder may grow; its oldest reports are thinned, then dropped [env: SWAPCALL_SPOOL_SIZE] [default: 64 MiB]')
            [CompletionResult]::new('--config', '--config', [CompletionResultType]::ParameterName, 'Configuration file with hub, hub_fingerprint, hub_ca, token, token_file, spool, spool_size [default: $XDG_CONFIG_HOME/swapcall/config.toml]')
            [CompletionResult]::new('--json', '--json', [CompletionResultType]::ParameterName, 'Answer in JSON: one document, or one to a line where there are many')
            [CompletionResult]::new('-h', '-h', [CompletionResultType]::ParameterName, 'Print help')
            [CompletionResult]::new('--help', '--help', [CompletionResultType]::ParameterName, 'Print help')
            break
        }
        'swapcall;pack' {
            [CompletionResult]::new('--wh', '--wh', [CompletionResultType]::ParameterName, 'What it holds by its label, in watt-hours')
            [CompletionResult]::new('--percent', '--percent', [CompletionResultType]::ParameterName, 'How full it is')
            [CompletionResult]::new('--bay', '--bay', [CompletionResultType]::ParameterName, 'In this bay of a charger')
            [CompletionResult]::new('--unit', '--unit', [CompletionResultType]::ParameterName, 'On this unit')
            [CompletionResult]::new('--hub', '--hub', [CompletionResultType]::ParameterName, 'Address of the hub [env: SWAPCALL_HUB] [default: http://127.0.0.1:7979]')
            [CompletionResult]::new('--token', '--token', [CompletionResultType]::ParameterName, 'The token; better kept in a file or in the environment [env: SWAPCALL_TOKEN]')
            [CompletionResult]::new('--token-file', '--token-file', [CompletionResultType]::ParameterName, 'A file that holds the token [env: SWAPCALL_TOKEN_FILE]')
            [CompletionResult]::new('--hub-fingerprint', '--hub-fingerprint', [CompletionResultType]::ParameterName, 'Take exactly the certificate with this fingerprint, as the hub prints it [env: SWAPCALL_HUB_FINGERPRINT]')
            [CompletionResult]::new('--hub-ca', '--hub-ca', [CompletionResultType]::ParameterName, 'Take certificates signed by the authorities in this PEM file [env: SWAPCALL_HUB_CA] [default: the system''s]')
            [CompletionResult]::new('--spool', '--spool', [CompletionResultType]::ParameterName, 'The folder for reports that wait [env: SWAPCALL_SPOOL] [default: $XDG_STATE_HOME/swapcall/spool]')
            [CompletionResult]::new('--spool-size', '--spool-size', [CompletionResultType]::ParameterName, 'How large that folder may grow; its oldest reports are thinned, then dropped [env: SWAPCALL_SPOOL_SIZE] [default: 64 MiB]')
            [CompletionResult]::new('--config', '--config', [CompletionResultType]::ParameterName, 'Configuration file with hub, hub_fingerprint, hub_ca, token, token_file, spool, spool_size [default: $XDG_CONFIG_HOME/swapcall/config.toml]')
            [CompletionResult]::new('--ready', '--ready', [CompletionResultType]::ParameterName, 'Charged, where runners fetch packs')
            [CompletionResult]::new('--spent', '--spent', [CompletionResultType]::ParameterName, 'Taken off, waiting for a bay')
            [CompletionResult]::new('--out', '--out', [CompletionResultType]::ParameterName, 'Not to be used: swollen, dropped, lost')
            [CompletionResult]::new('--json', '--json', [CompletionResultType]::ParameterName, 'Answer in JSON: one document, or one to a line where there are many')
            [CompletionResult]::new('-h', '-h', [CompletionResultType]::ParameterName, 'Print help')
            [CompletionResult]::new('--help', '--help', [CompletionResultType]::ParameterName, 'Print help')
            break
        }
        'swapcall;bays' {
            [CompletionResult]::new('--hub', '--hub', [CompletionResultType]::ParameterName, 'Address of the hub [env: SWAPCALL_HUB] [default: http://127.0.0.1:7979]')
            [CompletionResult]::new('--token', '--token', [CompletionResultType]::ParameterName, 'The token; better kept in a file or in the environment [env: SWAPCALL_TOKEN]')
            [CompletionResult]::new('--token-file', '--token-file', [CompletionResultType]::ParameterName, 'A file that holds the token [env: SWAPCALL_TOKEN_FILE]')
            [CompletionResult]::new('--hub-fingerprint', '--hub-fingerprint', [CompletionResultType]::ParameterName, 'Take exactly the certificate with this fingerprint, as the hub prints it [env: SWAPCALL_HUB_FINGERPRINT]')
            [CompletionResult]::new('--hub-ca', '--hub-ca', [CompletionResultType]::ParameterName, 'Take certificates signed by the authorities in this PEM file [env: SWAPCALL_HUB_CA] [default: the system''s]')
            [CompletionResult]::new('--spool', '--spool', [CompletionResultType]::ParameterName, 'The folder for reports that wait [env: SWAPCALL_SPOOL] [default: $XDG_STATE_HOME/swapcall/spool]')
            [CompletionResult]::new('--spool-size', '--spool-size', [CompletionResultType]::ParameterName, 'How large that folder may grow; its oldest reports are thinned, then dropped [env: SWAPCALL_SPOOL_SIZE] [default: 64 MiB]')
            [CompletionResult]::new('--config', '--config', [CompletionResultType]::ParameterName, 'Configuration file with hub, hub_fingerprint, hub_ca, token, token_file, spool, spool_size [default: $XDG_CONFIG_HOME/swapcall/config.toml]')
            [CompletionResult]::new('--json', '--json', [CompletionResultType]::ParameterName, 'Answer in JSON: one document, or one to a line where there are many')
            [CompletionResult]::new('-h', '-h', [CompletionResultType]::ParameterName, 'Print help')
            [CompletionResult]::new('--help', '--help', [CompletionResultType]::ParameterName, 'Print help')
            break
        }
        'swapcall;bay' {
            [CompletionResult]::new('--pack', '--pack', [CompletionResultType]::ParameterName, 'The pack that is in it from now on')
            [CompletionResult]::new('--percent', '--percent', [CompletionResultType]::ParameterName, 'How full the pack in it is')
            [CompletionResult]::new('--hub', '--hub', [CompletionResultType]::ParameterName, 'Address of the hub [env: SWAPCALL_HUB] [default: http://127.0.0.1:7979]')
            [CompletionResult]::new('--token', '--token', [CompletionResultType]::ParameterName, 'The token; better kept in a file or in the environment [env: SWAPCALL_TOKEN]')
            [CompletionResult]::new('--token-file', '--token-file', [CompletionResultType]::ParameterName, 'A file that holds the token [env: SWAPCALL_TOKEN_FILE]')
            [CompletionResult]::new('--hub-fingerprint', '--hub-fingerprint', [CompletionResultType]::ParameterName, 'Take exactly the certificate with this fingerprint, as the hub prints it [env: SWAPCALL_HUB_FINGERPRINT]')
            [CompletionResult]::new('--hub-ca', '--hub-ca', [CompletionResultType]::ParameterName, 'Take certificates signed by the authorities in this PEM file [env: SWAPCALL_HUB_CA] [default: the system''s]')
            [CompletionResult]::new('--spool', '--spool', [CompletionResultType]::ParameterName, 'The folder for reports that wait [env: SWAPCALL_SPOOL] [default: $XDG_STATE_HOME/swapcall/spool]')
            [CompletionResult]::new('--spool-size', '--spool-size', [CompletionResultType]::ParameterName, 'How large that folder may grow; its oldest reports are thinned, then dropped [env: SWAPCALL_SPOOL_SIZE] [default: 64 MiB]')
            [CompletionResult]::new('--config', '--config', [CompletionResultType]::ParameterName, 'Configuration file with hub, hub_fingerprint, hub_ca, token, token_file, spool, spool_size [default: $XDG_CONFIG_HOME/swapcall/config.toml]')
            [CompletionResult]::new('--empty', '--empty', [CompletionResultType]::ParameterName, 'Its pack has come out')
            [CompletionResult]::new('--json', '--json', [CompletionResultType]::ParameterName, 'Answer in JSON: one document, or one to a line where there are many')
            [CompletionResult]::new('-h', '-h', [CompletionResultType]::ParameterName, 'Print help')
            [CompletionResult]::new('--help', '--help', [CompletionResultType]::ParameterName, 'Print help')
            break
        }
        'swapcall;rotation' {
            [CompletionResult]::new('--hours', '--hours', [CompletionResultType]::ParameterName, 'How far to look, 0.5 to 24')
            [CompletionResult]::new('--bays', '--bays', [CompletionResultType]::ParameterName, 'Charger bays that are there; those that are known, when left out')
            [CompletionResult]::new('--hub', '--hub', [CompletionResultType]::ParameterName, 'Address of the hub [env: SWAPCALL_HUB] [default: http://127.0.0.1:7979]')
            [CompletionResult]::new('--token', '--token', [CompletionResultType]::ParameterName, 'The token; better kept in a file or in the environment [env: SWAPCALL_TOKEN]')
            [CompletionResult]::new('--token-file', '--token-file', [CompletionResultType]::ParameterName, 'A file that holds the token [env: SWAPCALL_TOKEN_FILE]')
            [CompletionResult]::new('--hub-fingerprint', '--hub-fingerprint', [CompletionResultType]::ParameterName, 'Take exactly the certificate with this fingerprint, as the hub prints it [env: SWAPCALL_HUB_FINGERPRINT]')
            [CompletionResult]::new('--hub-ca', '--hub-ca', [CompletionResultType]::ParameterName, 'Take certificates signed by the authorities in this PEM file [env: SWAPCALL_HUB_CA] [default: the system''s]')
            [CompletionResult]::new('--spool', '--spool', [CompletionResultType]::ParameterName, 'The folder for reports that wait [env: SWAPCALL_SPOOL] [default: $XDG_STATE_HOME/swapcall/spool]')
            [CompletionResult]::new('--spool-size', '--spool-size', [CompletionResultType]::ParameterName, 'How large that folder may grow; its oldest reports are thinned, then dropped [env: SWAPCALL_SPOOL_SIZE] [default: 64 MiB]')
            [CompletionResult]::new('--config', '--config', [CompletionResultType]::ParameterName, 'Configuration file with hub, hub_fingerprint, hub_ca, token, token_file, spool, spool_size [default: $XDG_CONFIG_HOME/swapcall/config.toml]')
            [CompletionResult]::new('--json', '--json', [CompletionResultType]::ParameterName, 'Answer in JSON: one document, or one to a line where there are many')
            [CompletionResult]::new('-h', '-h', [CompletionResultType]::ParameterName, 'Print help')
            [CompletionResult]::new('--help', '--help', [CompletionResultType]::ParameterName, 'Print help')
            break
        }
        'swapcall;cards' {
            [CompletionResult]::new('--from', '--from', [CompletionResultType]::ParameterName, 'Register all that stand in this table (CSV); - is standard input')
            [CompletionResult]::new('--hub', '--hub', [CompletionResultType]::ParameterName, 'Address of the hub [env: SWAPCALL_HUB] [default: http://127.0.0.1:7979]')
            [CompletionResult]::new('--token', '--token', [CompletionResultType]::ParameterName, 'The token; better kept in a file or in the environment [env: SWAPCALL_TOKEN]')
            [CompletionResult]::new('--token-file', '--token-file', [CompletionResultType]::ParameterName, 'A file that holds the token [env: SWAPCALL_TOKEN_FILE]')
            [CompletionResult]::new('--hub-fingerprint', '--hub-fingerprint', [CompletionResultType]::ParameterName, 'Take exactly the certificate with this fingerprint, as the hub prints it [env: SWAPCALL_HUB_FINGERPRINT]')
            [CompletionResult]::new('--hub-ca', '--hub-ca', [CompletionResultType]::ParameterName, 'Take certificates signed by the authorities in this PEM file [env: SWAPCALL_HUB_CA] [default: the system''s]')
            [CompletionResult]::new('--spool', '--spool', [CompletionResultType]::ParameterName, 'The folder for reports that wait [env: SWAPCALL_SPOOL] [default: $XDG_STATE_HOME/swapcall/spool]')
            [CompletionResult]::new('--spool-size', '--spool-size', [CompletionResultType]::ParameterName, 'How large that folder may grow; its oldest reports are thinned, then dropped [env: SWAPCALL_SPOOL_SIZE] [default: 64 MiB]')
            [CompletionResult]::new('--config', '--config', [CompletionResultType]::ParameterName, 'Configuration file with hub, hub_fingerprint, hub_ca, token, token_file, spool, spool_size [default: $XDG_CONFIG_HOME/swapcall/config.toml]')
            [CompletionResult]::new('--json', '--json', [CompletionResultType]::ParameterName, 'Answer in JSON: one document, or one to a line where there are many')
            [CompletionResult]::new('-h', '-h', [CompletionResultType]::ParameterName, 'Print help')
            [CompletionResult]::new('--help', '--help', [CompletionResultType]::ParameterName, 'Print help')
            break
        }
        'swapcall;card' {
            [CompletionResult]::new('--capacity', '--capacity', [CompletionResultType]::ParameterName, 'Its size, such as 128GB')
            [CompletionResult]::new('--in', '--in', [CompletionResultType]::ParameterName, 'In this slot of a unit')
            [CompletionResult]::new('--hub', '--hub', [CompletionResultType]::ParameterName, 'Address of the hub [env: SWAPCALL_HUB] [default: http://127.0.0.1:7979]')
            [CompletionResult]::new('--token', '--token', [CompletionResultType]::ParameterName, 'The token; better kept in a file or in the environment [env: SWAPCALL_TOKEN]')
            [CompletionResult]::new('--token-file', '--token-file', [CompletionResultType]::ParameterName, 'A file that holds the token [env: SWAPCALL_TOKEN_FILE]')
            [CompletionResult]::new('--hub-fingerprint', '--hub-fingerprint', [CompletionResultType]::ParameterName, 'Take exactly the certificate with this fingerprint, as the hub prints it [env: SWAPCALL_HUB_FINGERPRINT]')
            [CompletionResult]::new('--hub-ca', '--hub-ca', [CompletionResultType]::ParameterName, 'Take certificates signed by the authorities in this PEM file [env: SWAPCALL_HUB_CA] [default: the system''s]')
            [CompletionResult]::new('--spool', '--spool', [CompletionResultType]::ParameterName, 'The folder for reports that wait [env: SWAPCALL_SPOOL] [default: $XDG_STATE_HOME/swapcall/spool]')
            [CompletionResult]::new('--spool-size', '--spool-size', [CompletionResultType]::ParameterName, 'How large that folder may grow; its oldest reports are thinned, then dropped [env: SWAPCALL_SPOOL_SIZE] [default: 64 MiB]')
            [CompletionResult]::new('--config', '--config', [CompletionResultType]::ParameterName, 'Configuration file with hub, hub_fingerprint, hub_ca, token, token_file, spool, spool_size [default: $XDG_CONFIG_HOME/swapcall/config.toml]')
            [CompletionResult]::new('--blank', '--blank', [CompletionResultType]::ParameterName, 'Nothing on it that anybody wants')
            [CompletionResult]::new('--holding', '--holding', [CompletionResultType]::ParameterName, 'Out of the camera, with footage that is nowhere else')
            [CompletionResult]::new('--copying', '--copying', [CompletionResultType]::ParameterName, 'Being copied')
            [CompletionResult]::new('--safe', '--safe', [CompletionResultType]::ParameterName, 'Copied as often as wanted, and each copy verified')
            [CompletionResult]::new('--out', '--out', [CompletionResultType]::ParameterName, 'Not to be used')
            [CompletionResult]::new('--despite-footage', '--despite-footage', [CompletionResultType]::ParameterName, 'Let go of footage that is not safe: with --blank')
            [CompletionResult]::new('--json', '--json', [CompletionResultType]::ParameterName, 'Answer in JSON: one document, or one to a line where there are many')
            [CompletionResult]::new('-h', '-h', [CompletionResultType]::ParameterName, 'Print help')
            [CompletionResult]::new('--help', '--help', [CompletionResultType]::ParameterName, 'Print help')
            break
        }
        'swapcall;kit' {
            [CompletionResult]::new('--hub', '--hub', [CompletionResultType]::ParameterName, 'Address of the hub [env: SWAPCALL_HUB] [default: http://127.0.0.1:7979]')
            [CompletionResult]::new('--token', '--token', [CompletionResultType]::ParameterName, 'The token; better kept in a file or in the environment [env: SWAPCALL_TOKEN]')
            [CompletionResult]::new('--token-file', '--token-file', [CompletionResultType]::ParameterName, 'A file that holds the token [env: SWAPCALL_TOKEN_FILE]')
            [CompletionResult]::new('--hub-fingerprint', '--hub-fingerprint', [CompletionResultType]::ParameterName, 'Take exactly the certificate with this fingerprint, as the hub prints it [env: SWAPCALL_HUB_FINGERPRINT]')
            [CompletionResult]::new('--hub-ca', '--hub-ca', [CompletionResultType]::ParameterName, 'Take certificates signed by the authorities in this PEM file [env: SWAPCALL_HUB_CA] [default: the system''s]')
            [CompletionResult]::new('--spool', '--spool', [CompletionResultType]::ParameterName, 'The folder for reports that wait [env: SWAPCALL_SPOOL] [default: $XDG_STATE_HOME/swapcall/spool]')
            [CompletionResult]::new('--spool-size', '--spool-size', [CompletionResultType]::ParameterName, 'How large that folder may grow; its oldest reports are thinned, then dropped [env: SWAPCALL_SPOOL_SIZE] [default: 64 MiB]')
            [CompletionResult]::new('--config', '--config', [CompletionResultType]::ParameterName, 'Configuration file with hub, hub_fingerprint, hub_ca, token, token_file, spool, spool_size [default: $XDG_CONFIG_HOME/swapcall/config.toml]')
            [CompletionResult]::new('--example', '--example', [CompletionResultType]::ParameterName, 'Print a file to begin with')
            [CompletionResult]::new('--json', '--json', [CompletionResultType]::ParameterName, 'Answer in JSON: one document, or one to a line where there are many')
            [CompletionResult]::new('-h', '-h', [CompletionResultType]::ParameterName, 'Print help')
            [CompletionResult]::new('--help', '--help', [CompletionResultType]::ParameterName, 'Print help')
            break
        }
        'swapcall;offload' {
            [CompletionResult]::new('--card', '--card', [CompletionResultType]::ParameterName, 'Label of the card: the hub is told that it is being copied, and what came of it')
            [CompletionResult]::new('--copies', '--copies', [CompletionResultType]::ParameterName, 'How many copies have to be proved before the card is safe')
            [CompletionResult]::new('--hash', '--hash', [CompletionResultType]::ParameterName, 'How to hash; several with commas')
            [CompletionResult]::new('--hub', '--hub', [CompletionResultType]::ParameterName, 'Address of the hub [env: SWAPCALL_HUB] [default: http://127.0.0.1:7979]')
            [CompletionResult]::new('--token', '--token', [CompletionResultType]::ParameterName, 'The token; better kept in a file or in the environment [env: SWAPCALL_TOKEN]')
            [CompletionResult]::new('--token-file', '--token-file', [CompletionResultType]::ParameterName, 'A file that holds the token [env: SWAPCALL_TOKEN_FILE]')
            [CompletionResult]::new('--hub-fingerprint', '--hub-fingerprint', [CompletionResultType]::ParameterName, 'Take exactly the certificate with this fingerprint, as the hub prints it [env: SWAPCALL_HUB_FINGERPRINT]')
            [CompletionResult]::new('--hub-ca', '--hub-ca', [CompletionResultType]::ParameterName, 'Take certificates signed by the authorities in this PEM file [env: SWAPCALL_HUB_CA] [default: the system''s]')
            [CompletionResult]::new('--spool', '--spool', [CompletionResultType]::ParameterName, 'The folder for reports that wait [env: SWAPCALL_SPOOL] [default: $XDG_STATE_HOME/swapcall/spool]')
            [CompletionResult]::new('--spool-size', '--spool-size', [CompletionResultType]::ParameterName, 'How large that folder may grow; its oldest reports are thinned, then dropped [env: SWAPCALL_SPOOL_SIZE] [default: 64 MiB]')
            [CompletionResult]::new('--config', '--config', [CompletionResultType]::ParameterName, 'Configuration file with hub, hub_fingerprint, hub_ca, token, token_file, spool, spool_size [default: $XDG_CONFIG_HOME/swapcall/config.toml]')
            [CompletionResult]::new('--json', '--json', [CompletionResultType]::ParameterName, 'Answer in JSON: one document, or one to a line where there are many')
            [CompletionResult]::new('-h', '-h', [CompletionResultType]::ParameterName, 'Print help (see more with ''--help'')')
            [CompletionResult]::new('--help', '--help', [CompletionResultType]::ParameterName, 'Print help (see more with ''--help'')')
            break
        }
        'swapcall;history' {
            [CompletionResult]::new('--from', '--from', [CompletionResultType]::ParameterName, 'Start: a time (RFC 3339), or how long ago (2h)')
            [CompletionResult]::new('--to', '--to', [CompletionResultType]::ParameterName, 'End: a time (RFC 3339), or how long ago')
            [CompletionResult]::new('--step', '--step', [CompletionResultType]::ParameterName, 'Seconds per point; every reading when left out')
            [CompletionResult]::new('--hub', '--hub', [CompletionResultType]::ParameterName, 'Address of the hub [env: SWAPCALL_HUB] [default: http://127.0.0.1:7979]')
            [CompletionResult]::new('--token', '--token', [CompletionResultType]::ParameterName, 'The token; better kept in a file or in the environment [env: SWAPCALL_TOKEN]')
            [CompletionResult]::new('--token-file', '--token-file', [CompletionResultType]::ParameterName, 'A file that holds the token [env: SWAPCALL_TOKEN_FILE]')
            [CompletionResult]::new('--hub-fingerprint', '--hub-fingerprint', [CompletionResultType]::ParameterName, 'Take exactly the certificate with this fingerprint, as the hub prints it [env: SWAPCALL_HUB_FINGERPRINT]')
            [CompletionResult]::new('--hub-ca', '--hub-ca', [CompletionResultType]::ParameterName, 'Take certificates signed by the authorities in this PEM file [env: SWAPCALL_HUB_CA] [default: the system''s]')
            [CompletionResult]::new('--spool', '--spool', [CompletionResultType]::ParameterName, 'The folder for reports that wait [env: SWAPCALL_SPOOL] [default: $XDG_STATE_HOME/swapcall/spool]')
            [CompletionResult]::new('--spool-size', '--spool-size', [CompletionResultType]::ParameterName, 'How large that folder may grow; its oldest reports are thinned, then dropped [env: SWAPCALL_SPOOL_SIZE] [default: 64 MiB]')
            [CompletionResult]::new('--config', '--config', [CompletionResultType]::ParameterName, 'Configuration file with hub, hub_fingerprint, hub_ca, token, token_file, spool, spool_size [default: $XDG_CONFIG_HOME/swapcall/config.toml]')
            [CompletionResult]::new('--json', '--json', [CompletionResultType]::ParameterName, 'Answer in JSON: one document, or one to a line where there are many')
            [CompletionResult]::new('-h', '-h', [CompletionResultType]::ParameterName, 'Print help')
            [CompletionResult]::new('--help', '--help', [CompletionResultType]::ParameterName, 'Print help')
            break
        }
        'swapcall;forecasts' {
            [CompletionResult]::new('--from', '--from', [CompletionResultType]::ParameterName, 'Start: a time (RFC 3339), or how long ago (2h)')
            [CompletionResult]::new('--to', '--to', [CompletionResultType]::ParameterName, 'End: a time (RFC 3339), or how long ago')
            [CompletionResult]::new('--hub', '--hub', [CompletionResultType]::ParameterName, 'Address of the hub [env: SWAPCALL_HUB] [default: http://127.0.0.1:7979]')
            [CompletionResult]::new('--token', '--token', [CompletionResultType]::ParameterName, 'The token; better kept in a file or in the environment [env: SWAPCALL_TOKEN]')
            [CompletionResult]::new('--token-file', '--token-file', [CompletionResultType]::ParameterName, 'A file that holds the token [env: SWAPCALL_TOKEN_FILE]')
            [CompletionResult]::new('--hub-fingerprint', '--hub-fingerprint', [CompletionResultType]::ParameterName, 'Take exactly the certificate with this fingerprint, as the hub prints it [env: SWAPCALL_HUB_FINGERPRINT]')
            [CompletionResult]::new('--hub-ca', '--hub-ca', [CompletionResultType]::ParameterName, 'Take certificates signed by the authorities in this PEM file [env: SWAPCALL_HUB_CA] [default: the system''s]')
            [CompletionResult]::new('--spool', '--spool', [CompletionResultType]::ParameterName, 'The folder for reports that wait [env: SWAPCALL_SPOOL] [default: $XDG_STATE_HOME/swapcall/spool]')
            [CompletionResult]::new('--spool-size', '--spool-size', [CompletionResultType]::ParameterName, 'How large that folder may grow; its oldest reports are thinned, then dropped [env: SWAPCALL_SPOOL_SIZE] [default: 64 MiB]')
            [CompletionResult]::new('--config', '--config', [CompletionResultType]::ParameterName, 'Configuration file with hub, hub_fingerprint, hub_ca, token, token_file, spool, spool_size [default: $XDG_CONFIG_HOME/swapcall/config.toml]')
            [CompletionResult]::new('--json', '--json', [CompletionResultType]::ParameterName, 'Answer in JSON: one document, or one to a line where there are many')
            [CompletionResult]::new('-h', '-h', [CompletionResultType]::ParameterName, 'Print help')
            [CompletionResult]::new('--help', '--help', [CompletionResultType]::ParameterName, 'Print help')
            break
        }
        'swapcall;put-unit' {
            [CompletionResult]::new('--position', '--position', [CompletionResultType]::ParameterName, 'Where it stands')
            [CompletionResult]::new('--group', '--group', [CompletionResultType]::ParameterName, 'Coverage group')
            [CompletionResult]::new('--walk-s', '--walk-s', [CompletionResultType]::ParameterName, 'Seconds to walk from base')
            [CompletionResult]::new('--gauge', '--gauge', [CompletionResultType]::ParameterName, 'How the gauge works')
            [CompletionResult]::new('--gauge-step', '--gauge-step', [CompletionResultType]::ParameterName, 'The gauge''s resolution in percent')
            [CompletionResult]::new('--pack-wh', '--pack-wh', [CompletionResultType]::ParameterName, 'Energy of the usual pack in watt-hours')
            [CompletionResult]::new('--recording-w', '--recording-w', [CompletionResultType]::ParameterName, 'Power drawn while recording in watts')
            [CompletionResult]::new('--standby-w', '--standby-w', [CompletionResultType]::ParameterName, 'Power drawn in standby in watts')
            [CompletionResult]::new('--bit-rate', '--bit-rate', [CompletionResultType]::ParameterName, 'Usual bit rate in Mb/s')
            [CompletionResult]::new('--interval-s', '--interval-s', [CompletionResultType]::ParameterName, 'Seconds between reports')
            [CompletionResult]::new('--display', '--display', [CompletionResultType]::ParameterName, 'Display that carries its tally, as the vision mixer counts: INDEX, or SCREEN:INDEX')
            [CompletionResult]::new('--hub', '--hub', [CompletionResultType]::ParameterName, 'Address of the hub [env: SWAPCALL_HUB] [default: http://127.0.0.1:7979]')
            [CompletionResult]::new('--token', '--token', [CompletionResultType]::ParameterName, 'The token; better kept in a file or in the environment [env: SWAPCALL_TOKEN]')
            [CompletionResult]::new('--token-file', '--token-file', [CompletionResultType]::ParameterName, 'A file that holds the token [env: SWAPCALL_TOKEN_FILE]')
            [CompletionResult]::new('--hub-fingerprint', '--hub-fingerprint', [CompletionResultType]::ParameterName, 'Take exactly the certificate with this fingerprint, as the hub prints it [env: SWAPCALL_HUB_FINGERPRINT]')
            [CompletionResult]::new('--hub-ca', '--hub-ca', [CompletionResultType]::ParameterName, 'Take certificates signed by the authorities in this PEM file [env: SWAPCALL_HUB_CA] [default: the system''s]')
            [CompletionResult]::new('--spool', '--spool', [CompletionResultType]::ParameterName, 'The folder for reports that wait [env: SWAPCALL_SPOOL] [default: $XDG_STATE_HOME/swapcall/spool]')
            [CompletionResult]::new('--spool-size', '--spool-size', [CompletionResultType]::ParameterName, 'How large that folder may grow; its oldest reports are thinned, then dropped [env: SWAPCALL_SPOOL_SIZE] [default: 64 MiB]')
            [CompletionResult]::new('--config', '--config', [CompletionResultType]::ParameterName, 'Configuration file with hub, hub_fingerprint, hub_ca, token, token_file, spool, spool_size [default: $XDG_CONFIG_HOME/swapcall/config.toml]')
            [CompletionResult]::new('--replace', '--replace', [CompletionResultType]::ParameterName, 'Forget what is not named here')
            [CompletionResult]::new('--json', '--json', [CompletionResultType]::ParameterName, 'Answer in JSON: one document, or one to a line where there are many')
            [CompletionResult]::new('-h', '-h', [CompletionResultType]::ParameterName, 'Print help (see more with ''--help'')')
            [CompletionResult]::new('--help', '--help', [CompletionResultType]::ParameterName, 'Print help (see more with ''--help'')')
            break
        }
        'swapcall;limits' {
            [CompletionResult]::new('--hub', '--hub', [CompletionResultType]::ParameterName, 'Address of the hub [env: SWAPCALL_HUB] [default: http://127.0.0.1:7979]')
            [CompletionResult]::new('--token', '--token', [CompletionResultType]::ParameterName, 'The token; better kept in a file or in the environment [env: SWAPCALL_TOKEN]')
            [CompletionResult]::new('--token-file', '--token-file', [CompletionResultType]::ParameterName, 'A file that holds the token [env: SWAPCALL_TOKEN_FILE]')
            [CompletionResult]::new('--hub-fingerprint', '--hub-fingerprint', [CompletionResultType]::ParameterName, 'Take exactly the certificate with this fingerprint, as the hub prints it [env: SWAPCALL_HUB_FINGERPRINT]')
            [CompletionResult]::new('--hub-ca', '--hub-ca', [CompletionResultType]::ParameterName, 'Take certificates signed by the authorities in this PEM file [env: SWAPCALL_HUB_CA] [default: the system''s]')
            [CompletionResult]::new('--spool', '--spool', [CompletionResultType]::ParameterName, 'The folder for reports that wait [env: SWAPCALL_SPOOL] [default: $XDG_STATE_HOME/swapcall/spool]')
            [CompletionResult]::new('--spool-size', '--spool-size', [CompletionResultType]::ParameterName, 'How large that folder may grow; its oldest reports are thinned, then dropped [env: SWAPCALL_SPOOL_SIZE] [default: 64 MiB]')
            [CompletionResult]::new('--config', '--config', [CompletionResultType]::ParameterName, 'Configuration file with hub, hub_fingerprint, hub_ca, token, token_file, spool, spool_size [default: $XDG_CONFIG_HOME/swapcall/config.toml]')
            [CompletionResult]::new('--json', '--json', [CompletionResultType]::ParameterName, 'Answer in JSON: one document, or one to a line where there are many')
            [CompletionResult]::new('-h', '-h', [CompletionResultType]::ParameterName, 'Print help')
            [CompletionResult]::new('--help', '--help', [CompletionResultType]::ParameterName, 'Print help')
            [CompletionResult]::new('set', 'set', [CompletionResultType]::ParameterValue, 'Replace what was set by what a file says')
            [CompletionResult]::new('help', 'help', [CompletionResultType]::ParameterValue, 'Print this message or the help of the given subcommand(s)')
            break
        }
        'swapcall;limits;set' {
            [CompletionResult]::new('--hub', '--hub', [CompletionResultType]::ParameterName, 'Address of the hub [env: SWAPCALL_HUB] [default: http://127.0.0.1:7979]')
            [CompletionResult]::new('--token', '--token', [CompletionResultType]::ParameterName, 'The token; better kept in a file or in the environment [env: SWAPCALL_TOKEN]')
            [CompletionResult]::new('--token-file', '--token-file', [CompletionResultType]::ParameterName, 'A file that holds the token [env: SWAPCALL_TOKEN_FILE]')
            [CompletionResult]::new('--hub-fingerprint', '--hub-fingerprint', [CompletionResultType]::ParameterName, 'Take exactly the certificate with this fingerprint, as the hub prints it [env: SWAPCALL_HUB_FINGERPRINT]')
            [CompletionResult]::new('--hub-ca', '--hub-ca', [CompletionResultType]::ParameterName, 'Take certificates signed by the authorities in this PEM file [env: SWAPCALL_HUB_CA] [default: the system''s]')
            [CompletionResult]::new('--spool', '--spool', [CompletionResultType]::ParameterName, 'The folder for reports that wait [env: SWAPCALL_SPOOL] [default: $XDG_STATE_HOME/swapcall/spool]')
            [CompletionResult]::new('--spool-size', '--spool-size', [CompletionResultType]::ParameterName, 'How large that folder may grow; its oldest reports are thinned, then dropped [env: SWAPCALL_SPOOL_SIZE] [default: 64 MiB]')
            [CompletionResult]::new('--config', '--config', [CompletionResultType]::ParameterName, 'Configuration file with hub, hub_fingerprint, hub_ca, token, token_file, spool, spool_size [default: $XDG_CONFIG_HOME/swapcall/config.toml]')
            [CompletionResult]::new('--json', '--json', [CompletionResultType]::ParameterName, 'Answer in JSON: one document, or one to a line where there are many')
            [CompletionResult]::new('-h', '-h', [CompletionResultType]::ParameterName, 'Print help')
            [CompletionResult]::new('--help', '--help', [CompletionResultType]::ParameterName, 'Print help')
            break
        }
        'swapcall;limits;help' {
            [CompletionResult]::new('set', 'set', [CompletionResultType]::ParameterValue, 'Replace what was set by what a file says')
            [CompletionResult]::new('help', 'help', [CompletionResultType]::ParameterValue, 'Print this message or the help of the given subcommand(s)')
            break
        }
        'swapcall;limits;help;set' {
            break
        }
        'swapcall;limits;help;help' {
            break
        }
        'swapcall;rundown' {
            [CompletionResult]::new('--hub', '--hub', [CompletionResultType]::ParameterName, 'Address of the hub [env: SWAPCALL_HUB] [default: http://127.0.0.1:7979]')
            [CompletionResult]::new('--token', '--token', [CompletionResultType]::ParameterName, 'The token; better kept in a file or in the environment [env: SWAPCALL_TOKEN]')
            [CompletionResult]::new('--token-file', '--token-file', [CompletionResultType]::ParameterName, 'A file that holds the token [env: SWAPCALL_TOKEN_FILE]')
            [CompletionResult]::new('--hub-fingerprint', '--hub-fingerprint', [CompletionResultType]::ParameterName, 'Take exactly the certificate with this fingerprint, as the hub prints it [env: SWAPCALL_HUB_FINGERPRINT]')
            [CompletionResult]::new('--hub-ca', '--hub-ca', [CompletionResultType]::ParameterName, 'Take certificates signed by the authorities in this PEM file [env: SWAPCALL_HUB_CA] [default: the system''s]')
            [CompletionResult]::new('--spool', '--spool', [CompletionResultType]::ParameterName, 'The folder for reports that wait [env: SWAPCALL_SPOOL] [default: $XDG_STATE_HOME/swapcall/spool]')
            [CompletionResult]::new('--spool-size', '--spool-size', [CompletionResultType]::ParameterName, 'How large that folder may grow; its oldest reports are thinned, then dropped [env: SWAPCALL_SPOOL_SIZE] [default: 64 MiB]')
            [CompletionResult]::new('--config', '--config', [CompletionResultType]::ParameterName, 'Configuration file with hub, hub_fingerprint, hub_ca, token, token_file, spool, spool_size [default: $XDG_CONFIG_HOME/swapcall/config.toml]')
            [CompletionResult]::new('--json', '--json', [CompletionResultType]::ParameterName, 'Answer in JSON: one document, or one to a line where there are many')
            [CompletionResult]::new('-h', '-h', [CompletionResultType]::ParameterName, 'Print help')
            [CompletionResult]::new('--help', '--help', [CompletionResultType]::ParameterName, 'Print help')
            [CompletionResult]::new('show', 'show', [CompletionResultType]::ParameterValue, 'Show the windows, in order of their start')
            [CompletionResult]::new('set', 'set', [CompletionResultType]::ParameterValue, 'Replace the rundown by what a file says')
            [CompletionResult]::new('help', 'help', [CompletionResultType]::ParameterValue, 'Print this message or the help of the given subcommand(s)')
            break
        }
        'swapcall;rundown;show' {
            [CompletionResult]::new('--hub', '--hub', [CompletionResultType]::ParameterName, 'Address of the hub [env: SWAPCALL_HUB] [default: http://127.0.0.1:7979]')
            [CompletionResult]::new('--token', '--token', [CompletionResultType]::ParameterName, 'The token; better kept in a file or in the environment [env: SWAPCALL_TOKEN]')
            [CompletionResult]::new('--token-file', '--token-file', [CompletionResultType]::ParameterName, 'A file that holds the token [env: SWAPCALL_TOKEN_FILE]')
            [CompletionResult]::new('--hub-fingerprint', '--hub-fingerprint', [CompletionResultType]::ParameterName, 'Take exactly the certificate with this fingerprint, as the hub prints it [env: SWAPCALL_HUB_FINGERPRINT]')
            [CompletionResult]::new('--hub-ca', '--hub-ca', [CompletionResultType]::ParameterName, 'Take certificates signed by the authorities in this PEM file [env: SWAPCALL_HUB_CA] [default: the system''s]')
            [CompletionResult]::new('--spool', '--spool', [CompletionResultType]::ParameterName, 'The folder for reports that wait [env: SWAPCALL_SPOOL] [default: $XDG_STATE_HOME/swapcall/spool]')
            [CompletionResult]::new('--spool-size', '--spool-size', [CompletionResultType]::ParameterName, 'How large that folder may grow; its oldest reports are thinned, then dropped [env: SWAPCALL_SPOOL_SIZE] [default: 64 MiB]')
            [CompletionResult]::new('--config', '--config', [CompletionResultType]::ParameterName, 'Configuration file with hub, hub_fingerprint, hub_ca, token, token_file, spool, spool_size [default: $XDG_CONFIG_HOME/swapcall/config.toml]')
            [CompletionResult]::new('--json', '--json', [CompletionResultType]::ParameterName, 'Answer in JSON: one document, or one to a line where there are many')
            [CompletionResult]::new('-h', '-h', [CompletionResultType]::ParameterName, 'Print help')
            [CompletionResult]::new('--help', '--help', [CompletionResultType]::ParameterName, 'Print help')
            break
        }
        'swapcall;rundown;set' {
            [CompletionResult]::new('--hub', '--hub', [CompletionResultType]::ParameterName, 'Address of the hub [env: SWAPCALL_HUB] [default: http://127.0.0.1:7979]')
            [CompletionResult]::new('--token', '--token', [CompletionResultType]::ParameterName, 'The token; better kept in a file or in the environment [env: SWAPCALL_TOKEN]')
            [CompletionResult]::new('--token-file', '--token-file', [CompletionResultType]::ParameterName, 'A file that holds the token [env: SWAPCALL_TOKEN_FILE]')
            [CompletionResult]::new('--hub-fingerprint', '--hub-fingerprint', [CompletionResultType]::ParameterName, 'Take exactly the certificate with this fingerprint, as the hub prints it [env: SWAPCALL_HUB_FINGERPRINT]')
            [CompletionResult]::new('--hub-ca', '--hub-ca', [CompletionResultType]::ParameterName, 'Take certificates signed by the authorities in this PEM file [env: SWAPCALL_HUB_CA] [default: the system''s]')
            [CompletionResult]::new('--spool', '--spool', [CompletionResultType]::ParameterName, 'The folder for reports that wait [env: SWAPCALL_SPOOL] [default: $XDG_STATE_HOME/swapcall/spool]')
            [CompletionResult]::new('--spool-size', '--spool-size', [CompletionResultType]::ParameterName, 'How large that folder may grow; its oldest reports are thinned, then dropped [env: SWAPCALL_SPOOL_SIZE] [default: 64 MiB]')
            [CompletionResult]::new('--config', '--config', [CompletionResultType]::ParameterName, 'Configuration file with hub, hub_fingerprint, hub_ca, token, token_file, spool, spool_size [default: $XDG_CONFIG_HOME/swapcall/config.toml]')
            [CompletionResult]::new('--force', '--force', [CompletionResultType]::ParameterName, 'Replace the rundown even if somebody else changed it since the file was read')
            [CompletionResult]::new('--json', '--json', [CompletionResultType]::ParameterName, 'Answer in JSON: one document, or one to a line where there are many')
            [CompletionResult]::new('-h', '-h', [CompletionResultType]::ParameterName, 'Print help')
            [CompletionResult]::new('--help', '--help', [CompletionResultType]::ParameterName, 'Print help')
            break
        }
        'swapcall;rundown;help' {
            [CompletionResult]::new('show', 'show', [CompletionResultType]::ParameterValue, 'Show the windows, in order of their start')
            [CompletionResult]::new('set', 'set', [CompletionResultType]::ParameterValue, 'Replace the rundown by what a file says')
            [CompletionResult]::new('help', 'help', [CompletionResultType]::ParameterValue, 'Print this message or the help of the given subcommand(s)')
            break
        }
        'swapcall;rundown;help;show' {
            break
        }
        'swapcall;rundown;help;set' {
            break
        }
        'swapcall;rundown;help;help' {
            break
        }
        'swapcall;replay' {
            [CompletionResult]::new('--unit', '--unit', [CompletionResultType]::ParameterName, 'Callsign to report for; needed for CSV')
            [CompletionResult]::new('--gauge', '--gauge', [CompletionResultType]::ParameterName, 'The gauge''s column')
            [CompletionResult]::new('--speed', '--speed', [CompletionResultType]::ParameterName, 'How fast: a factor, or max')
            [CompletionResult]::new('--pack', '--pack', [CompletionResultType]::ParameterName, 'Label of the pack')
            [CompletionResult]::new('--step', '--step', [CompletionResultType]::ParameterName, 'The gauge''s resolution, where the column''s name does not say')
            [CompletionResult]::new('--hub', '--hub', [CompletionResultType]::ParameterName, 'Address of the hub [env: SWAPCALL_HUB] [default: http://127.0.0.1:7979]')
            [CompletionResult]::new('--token', '--token', [CompletionResultType]::ParameterName, 'The token; better kept in a file or in the environment [env: SWAPCALL_TOKEN]')
            [CompletionResult]::new('--token-file', '--token-file', [CompletionResultType]::ParameterName, 'A file that holds the token [env: SWAPCALL_TOKEN_FILE]')
            [CompletionResult]::new('--hub-fingerprint', '--hub-fingerprint', [CompletionResultType]::ParameterName, 'Take exactly the certificate with this fingerprint, as the hub prints it [env: SWAPCALL_HUB_FINGERPRINT]')
            [CompletionResult]::new('--hub-ca', '--hub-ca', [CompletionResultType]::ParameterName, 'Take certificates signed by the authorities in this PEM file [env: SWAPCALL_HUB_CA] [default: the system''s]')
            [CompletionResult]::new('--spool', '--spool', [CompletionResultType]::ParameterName, 'The folder for reports that wait [env: SWAPCALL_SPOOL] [default: $XDG_STATE_HOME/swapcall/spool]')
            [CompletionResult]::new('--spool-size', '--spool-size', [CompletionResultType]::ParameterName, 'How large that folder may grow; its oldest reports are thinned, then dropped [env: SWAPCALL_SPOOL_SIZE] [default: 64 MiB]')
            [CompletionResult]::new('--config', '--config', [CompletionResultType]::ParameterName, 'Configuration file with hub, hub_fingerprint, hub_ca, token, token_file, spool, spool_size [default: $XDG_CONFIG_HOME/swapcall/config.toml]')
            [CompletionResult]::new('--json', '--json', [CompletionResultType]::ParameterName, 'Answer in JSON: one document, or one to a line where there are many')
            [CompletionResult]::new('-h', '-h', [CompletionResultType]::ParameterName, 'Print help')
            [CompletionResult]::new('--help', '--help', [CompletionResultType]::ParameterName, 'Print help')
            break
        }
        'swapcall;send' {
            [CompletionResult]::new('--hub', '--hub', [CompletionResultType]::ParameterName, 'Address of the hub [env: SWAPCALL_HUB] [default: http://127.0.0.1:7979]')
            [CompletionResult]::new('--token', '--token', [CompletionResultType]::ParameterName, 'The token; better kept in a file or in the environment [env: SWAPCALL_TOKEN]')
            [CompletionResult]::new('--token-file', '--token-file', [CompletionResultType]::ParameterName, 'A file that holds the token [env: SWAPCALL_TOKEN_FILE]')
            [CompletionResult]::new('--hub-fingerprint', '--hub-fingerprint', [CompletionResultType]::ParameterName, 'Take exactly the certificate with this fingerprint, as the hub prints it [env: SWAPCALL_HUB_FINGERPRINT]')
            [CompletionResult]::new('--hub-ca', '--hub-ca', [CompletionResultType]::ParameterName, 'Take certificates signed by the authorities in this PEM file [env: SWAPCALL_HUB_CA] [default: the system''s]')
            [CompletionResult]::new('--spool', '--spool', [CompletionResultType]::ParameterName, 'The folder for reports that wait [env: SWAPCALL_SPOOL] [default: $XDG_STATE_HOME/swapcall/spool]')
            [CompletionResult]::new('--spool-size', '--spool-size', [CompletionResultType]::ParameterName, 'How large that folder may grow; its oldest reports are thinned, then dropped [env: SWAPCALL_SPOOL_SIZE] [default: 64 MiB]')
            [CompletionResult]::new('--config', '--config', [CompletionResultType]::ParameterName, 'Configuration file with hub, hub_fingerprint, hub_ca, token, token_file, spool, spool_size [default: $XDG_CONFIG_HOME/swapcall/config.toml]')
            [CompletionResult]::new('--json', '--json', [CompletionResultType]::ParameterName, 'Answer in JSON: one document, or one to a line where there are many')
            [CompletionResult]::new('-h', '-h', [CompletionResultType]::ParameterName, 'Print help')
            [CompletionResult]::new('--help', '--help', [CompletionResultType]::ParameterName, 'Print help')
            break
        }
        'swapcall;status' {
            [CompletionResult]::new('--hub', '--hub', [CompletionResultType]::ParameterName, 'Address of the hub [env: SWAPCALL_HUB] [default: http://127.0.0.1:7979]')
            [CompletionResult]::new('--token', '--token', [CompletionResultType]::ParameterName, 'The token; better kept in a file or in the environment [env: SWAPCALL_TOKEN]')
            [CompletionResult]::new('--token-file', '--token-file', [CompletionResultType]::ParameterName, 'A file that holds the token [env: SWAPCALL_TOKEN_FILE]')
            [CompletionResult]::new('--hub-fingerprint', '--hub-fingerprint', [CompletionResultType]::ParameterName, 'Take exactly the certificate with this fingerprint, as the hub prints it [env: SWAPCALL_HUB_FINGERPRINT]')
            [CompletionResult]::new('--hub-ca', '--hub-ca', [CompletionResultType]::ParameterName, 'Take certificates signed by the authorities in this PEM file [env: SWAPCALL_HUB_CA] [default: the system''s]')
            [CompletionResult]::new('--spool', '--spool', [CompletionResultType]::ParameterName, 'The folder for reports that wait [env: SWAPCALL_SPOOL] [default: $XDG_STATE_HOME/swapcall/spool]')
            [CompletionResult]::new('--spool-size', '--spool-size', [CompletionResultType]::ParameterName, 'How large that folder may grow; its oldest reports are thinned, then dropped [env: SWAPCALL_SPOOL_SIZE] [default: 64 MiB]')
            [CompletionResult]::new('--config', '--config', [CompletionResultType]::ParameterName, 'Configuration file with hub, hub_fingerprint, hub_ca, token, token_file, spool, spool_size [default: $XDG_CONFIG_HOME/swapcall/config.toml]')
            [CompletionResult]::new('--json', '--json', [CompletionResultType]::ParameterName, 'Answer in JSON: one document, or one to a line where there are many')
            [CompletionResult]::new('-h', '-h', [CompletionResultType]::ParameterName, 'Print help')
            [CompletionResult]::new('--help', '--help', [CompletionResultType]::ParameterName, 'Print help')
            break
        }
        'swapcall;doctor' {
            [CompletionResult]::new('--power-supply', '--power-supply', [CompletionResultType]::ParameterName, 'Read this computer''s battery')
            [CompletionResult]::new('--mount', '--mount', [CompletionResultType]::ParameterName, 'The folder a card is mounted on, A=/media/card or, with its label, A:C12=/media/card; may be repeated')
            [CompletionResult]::new('--mounts-under', '--mounts-under', [CompletionResultType]::ParameterName, 'Every card that is mounted below a folder, as slots A, B …')
            [CompletionResult]::new('--http', '--http', [CompletionResultType]::ParameterName, 'A device that answers with JSON; the report''s own form, unless --http-map says where the values stand')
            [CompletionResult]::new('--http-map', '--http-map', [CompletionResultType]::ParameterName, 'Where a value stands, by JSON Pointer: battery=/power/percent, mode=/rec, A.used_percent=/cards/0/fill; may be repeated')
            [CompletionResult]::new('--ptp', '--ptp', [CompletionResultType]::ParameterName, 'A camera on the network by PTP/IP: its battery and its cards')
            [CompletionResult]::new('--command', '--command', [CompletionResultType]::ParameterName, 'A shell line that prints a report as JSON; its last object is taken')
            [CompletionResult]::new('--hub', '--hub', [CompletionResultType]::ParameterName, 'Address of the hub [env: SWAPCALL_HUB] [default: http://127.0.0.1:7979]')
            [CompletionResult]::new('--token', '--token', [CompletionResultType]::ParameterName, 'The token; better kept in a file or in the environment [env: SWAPCALL_TOKEN]')
            [CompletionResult]::new('--token-file', '--token-file', [CompletionResultType]::ParameterName, 'A file that holds the token [env: SWAPCALL_TOKEN_FILE]')
            [CompletionResult]::new('--hub-fingerprint', '--hub-fingerprint', [CompletionResultType]::ParameterName, 'Take exactly the certificate with this fingerprint, as the hub prints it [env: SWAPCALL_HUB_FINGERPRINT]')
            [CompletionResult]::new('--hub-ca', '--hub-ca', [CompletionResultType]::ParameterName, 'Take certificates signed by the authorities in this PEM file [env: SWAPCALL_HUB_CA] [default: the system''s]')
            [CompletionResult]::new('--spool', '--spool', [CompletionResultType]::ParameterName, 'The folder for reports that wait [env: SWAPCALL_SPOOL] [default: $XDG_STATE_HOME/swapcall/spool]')
            [CompletionResult]::new('--spool-size', '--spool-size', [CompletionResultType]::ParameterName, 'How large that folder may grow; its oldest reports are thinned, then dropped [env: SWAPCALL_SPOOL_SIZE] [default: 64 MiB]')
            [CompletionResult]::new('--config', '--config', [CompletionResultType]::ParameterName, 'Configuration file with hub, hub_fingerprint, hub_ca, token, token_file, spool, spool_size [default: $XDG_CONFIG_HOME/swapcall/config.toml]')
            [CompletionResult]::new('--json', '--json', [CompletionResultType]::ParameterName, 'Answer in JSON: one document, or one to a line where there are many')
            [CompletionResult]::new('-h', '-h', [CompletionResultType]::ParameterName, 'Print help')
            [CompletionResult]::new('--help', '--help', [CompletionResultType]::ParameterName, 'Print help')
            break
        }
        'swapcall;man' {
            [CompletionResult]::new('--dir', '--dir', [CompletionResultType]::ParameterName, 'Write every page into this folder instead')
            [CompletionResult]::new('--hub', '--hub', [CompletionResultType]::ParameterName, 'Address of the hub [env: SWAPCALL_HUB] [default: http://127.0.0.1:7979]')
            [CompletionResult]::new('--token', '--token', [CompletionResultType]::ParameterName, 'The token; better kept in a file or in the environment [env: SWAPCALL_TOKEN]')
            [CompletionResult]::new('--token-file', '--token-file', [CompletionResultType]::ParameterName, 'A file that holds the token [env: SWAPCALL_TOKEN_FILE]')
            [CompletionResult]::new('--hub-fingerprint', '--hub-fingerprint', [CompletionResultType]::ParameterName, 'Take exactly the certificate with this fingerprint, as the hub prints it [env: SWAPCALL_HUB_FINGERPRINT]')
            [CompletionResult]::new('--hub-ca', '--hub-ca', [CompletionResultType]::ParameterName, 'Take certificates signed by the authorities in this PEM file [env: SWAPCALL_HUB_CA] [default: the system''s]')
            [CompletionResult]::new('--spool', '--spool', [CompletionResultType]::ParameterName, 'The folder for reports that wait [env: SWAPCALL_SPOOL] [default: $XDG_STATE_HOME/swapcall/spool]')
            [CompletionResult]::new('--spool-size', '--spool-size', [CompletionResultType]::ParameterName, 'How large that folder may grow; its oldest reports are thinned, then dropped [env: SWAPCALL_SPOOL_SIZE] [default: 64 MiB]')
            [CompletionResult]::new('--config', '--config', [CompletionResultType]::ParameterName, 'Configuration file with hub, hub_fingerprint, hub_ca, token, token_file, spool, spool_size [default: $XDG_CONFIG_HOME/swapcall/config.toml]')
            [CompletionResult]::new('--json', '--json', [CompletionResultType]::ParameterName, 'Answer in JSON: one document, or one to a line where there are many')
            [CompletionResult]::new('-h', '-h', [CompletionResultType]::ParameterName, 'Print help')
            [CompletionResult]::new('--help', '--help', [CompletionResultType]::ParameterName, 'Print help')
            break
        }
        'swapcall;completions' {
            [CompletionResult]::new('--hub', '--hub', [CompletionResultType]::ParameterName, 'Address of the hub [env: SWAPCALL_HUB] [default: http://127.0.0.1:7979]')
            [CompletionResult]::new('--token', '--token', [CompletionResultType]::ParameterName, 'The token; better kept in a file or in the environment [env: SWAPCALL_TOKEN]')
            [CompletionResult]::new('--token-file', '--token-file', [CompletionResultType]::ParameterName, 'A file that holds the token [env: SWAPCALL_TOKEN_FILE]')
            [CompletionResult]::new('--hub-fingerprint', '--hub-fingerprint', [CompletionResultType]::ParameterName, 'Take exactly the certificate with this fingerprint, as the hub prints it [env: SWAPCALL_HUB_FINGERPRINT]')
            [CompletionResult]::new('--hub-ca', '--hub-ca', [CompletionResultType]::ParameterName, 'Take certificates signed by the authorities in this PEM file [env: SWAPCALL_HUB_CA] [default: the system''s]')
            [CompletionResult]::new('--spool', '--spool', [CompletionResultType]::ParameterName, 'The folder for reports that wait [env: SWAPCALL_SPOOL] [default: $XDG_STATE_HOME/swapcall/spool]')
            [CompletionResult]::new('--spool-size', '--spool-size', [CompletionResultType]::ParameterName, 'How large that folder may grow; its oldest reports are thinned, then dropped [env: SWAPCALL_SPOOL_SIZE] [default: 64 MiB]')
            [CompletionResult]::new('--config', '--config', [CompletionResultType]::ParameterName, 'Configuration file with hub, hub_fingerprint, hub_ca, token, token_file, spool, spool_size [default: $XDG_CONFIG_HOME/swapcall/config.toml]')
            [CompletionResult]::new('--json', '--json', [CompletionResultType]::ParameterName, 'Answer in JSON: one document, or one to a line where there are many')
            [CompletionResult]::new('-h', '-h', [CompletionResultType]::ParameterName, 'Print help (see more with ''--help'')')
            [CompletionResult]::new('--help', '--help', [CompletionResultType]::ParameterName, 'Print help (see more with ''--help'')')
            break
        }
        'swapcall;help' {
            [CompletionResult]::new('report', 'report', [CompletionResultType]::ParameterValue, 'Report what you read off a unit''s display')
            [CompletionResult]::new('watch', 'watch', [CompletionResultType]::ParameterValue, 'Report on a period from what this computer can read')
            [CompletionResult]::new('board', 'board', [CompletionResultType]::ParameterValue, 'Show the fleet, live')
            [CompletionResult]::new('calls', 'calls', [CompletionResultType]::ParameterValue, 'List the calls')
            [CompletionResult]::new('claim', 'claim', [CompletionResultType]::ParameterValue, 'Take a call: you are on the way')
            [CompletionResult]::new('release', 'release', [CompletionResultType]::ParameterValue, 'Give a call back')
            [CompletionResult]::new('done', 'done', [CompletionResultType]::ParameterValue, 'Say that a call is done')
            [CompletionResult]::new('undo', 'undo', [CompletionResultType]::ParameterValue, 'Take back that a call is done, within 30 seconds')
            [CompletionResult]::new('invite', 'invite', [CompletionResultType]::ParameterValue, 'Make a code with which somebody comes in, once')
            [CompletionResult]::new('join', 'join', [CompletionResultType]::ParameterValue, 'Come in with a code: writes the token and the hub''s address to the configuration')
            [CompletionResult]::new('find', 'find', [CompletionResultType]::ParameterValue, 'List the hubs that announce themselves on this network')
            [CompletionResult]::new('fleet', 'fleet', [CompletionResultType]::ParameterValue, 'Show every unit, once')
            [CompletionResult]::new('unit', 'unit', [CompletionResultType]::ParameterValue, 'Show one unit')
            [CompletionResult]::new('packs', 'packs', [CompletionResultType]::ParameterValue, 'List the packs of the kit: which are ready, and where the others are')
            [CompletionResult]::new('pack', 'pack', [CompletionResultType]::ParameterValue, 'Show a pack and what was learned of it, or say where it is and how full')
            [CompletionResult]::new('bays', 'bays', [CompletionResultType]::ParameterValue, 'List the bays of the chargers: what is in them, and when it is ready')
            [CompletionResult]::new('bay', 'bay', [CompletionResultType]::ParameterValue, 'Show a bay, or say what is in it and how full')
            [CompletionResult]::new('rotation', 'rotation', [CompletionResultType]::ParameterValue, 'Look ahead: whether the packs last, when they run short, how short, and what would cure it')
            [CompletionResult]::new('cards', 'cards', [CompletionResultType]::ParameterValue, 'List the cards of the kit: which are blank, and where the others are')
            [CompletionResult]::new('card', 'card', [CompletionResultType]::ParameterValue, 'Show a card, or say where it is and what is on it')
            [CompletionResult]::new('kit', 'kit', [CompletionResultType]::ParameterValue, 'Say before a show whether the kit lasts, what fails first, and what would mend it')
            [CompletionResult]::new('offload', 'offload', [CompletionResultType]::ParameterValue, 'Copy a card to several places, read every copy back, and say whether the card is safe')
            [CompletionResult]::new('history', 'history', [CompletionResultType]::ParameterValue, 'Show a unit''s past')
            [CompletionResult]::new('forecasts', 'forecasts', [CompletionResultType]::ParameterValue, 'Show how good a unit''s forecasts were: as they were made, with what then happened')
            [CompletionResult]::new('put-unit', 'put-unit', [CompletionResultType]::ParameterValue, 'Say what is known about a unit before it reports')
            [CompletionResult]::new('limits', 'limits', [CompletionResultType]::ParameterValue, 'Show or set lead times, margins and reminder times')
            [CompletionResult]::new('rundown', 'rundown', [CompletionResultType]::ParameterValue, 'Show or set the running order: when units roll, are held, or have a break')
            [CompletionResult]::new('replay', 'replay', [CompletionResultType]::ParameterValue, 'Post a recorded log, in real or compressed time')
            [CompletionResult]::new('send', 'send', [CompletionResultType]::ParameterValue, 'Send what waits in the spool, now')
            [CompletionResult]::new('status', 'status', [CompletionResultType]::ParameterValue, 'Show what waits in the spool, and whether the hub answers')
            [CompletionResult]::new('doctor', 'doctor', [CompletionResultType]::ParameterValue, 'Check everything a cart needs: configuration, hub, token, clock, spool and sources')
            [CompletionResult]::new('man', 'man', [CompletionResultType]::ParameterValue, 'Print the manual, or the page of one command')
            [CompletionResult]::new('completions', 'completions', [CompletionResultType]::ParameterValue, 'Print completions for a shell')
            [CompletionResult]::new('help', 'help', [CompletionResultType]::ParameterValue, 'Print this message or the help of the given subcommand(s)')
            break
        }
        'swapcall;help;report' {
            break
        }
        'swapcall;help;watch' {
            break
        }
        'swapcall;help;board' {
            break
        }
        'swapcall;help;calls' {
            break
        }
        'swapcall;help;claim' {
            break
        }
        'swapcall;help;release' {
            break
        }
        'swapcall;help;done' {
            break
        }
        'swapcall;help;undo' {
            break
        }
        'swapcall;help;invite' {
            break
        }
        'swapcall;help;join' {
            break
        }
        'swapcall;help;find' {
            break
        }
        'swapcall;help;fleet' {
            break
        }
        'swapcall;help;unit' {
            break
        }
        'swapcall;help;packs' {
            break
        }
        'swapcall;help;pack' {
            break
        }
        'swapcall;help;bays' {
            break
        }
        'swapcall;help;bay' {
            break
        }
        'swapcall;help;rotation' {
            break
        }
        'swapcall;help;cards' {
            break
        }
        'swapcall;help;card' {
            break
        }
        'swapcall;help;kit' {
            break
        }
        'swapcall;help;offload' {
            break
        }
        'swapcall;help;history' {
            break
        }
        'swapcall;help;forecasts' {
            break
        }
        'swapcall;help;put-unit' {
            break
        }
        'swapcall;help;limits' {
            [CompletionResult]::new('set', 'set', [CompletionResultType]::ParameterValue, 'Replace what was set by what a file says')
            break
        }
        'swapcall;help;limits;set' {
            break
        }
        'swapcall;help;rundown' {
            [CompletionResult]::new('show', 'show', [CompletionResultType]::ParameterValue, 'Show the windows, in order of their start')
            [CompletionResult]::new('set', 'set', [CompletionResultType]::ParameterValue, 'Replace the rundown by what a file says')
            break
        }
        'swapcall;help;rundown;show' {
            break
        }
        'swapcall;help;rundown;set' {
            break
        }
        'swapcall;help;replay' {
            break
        }
        'swapcall;help;send' {
            break
        }
        'swapcall;help;status' {
            break
        }
        'swapcall;help;doctor' {
            break
        }
        'swapcall;help;man' {
            break
        }
        'swapcall;help;completions' {
            break
        }
        'swapcall;help;help' {
            break
        }
    })

    $completions.Where{ $_.CompletionText -like "$wordToComplete*" } |
        Sort-Object -Property ListItemText
}
